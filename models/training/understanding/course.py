"""What every training here shares: intents weighed by how often they stand, rates that rise and fall, one step."""

import math
from collections import Counter

import torch
import torch.nn.functional as F

RISING = 0.1
"""The share of a course in which its rates rise."""
FEWEST = 4
"""An intent with fewer rows weighs as one with so many."""


def balanced(rows, intents, device):
    """Return a weight for each of ``intents``, more for what stands in few rows, one in the mean."""
    counts = Counter(row["intent"] for row in rows)
    weights = torch.tensor([1 / math.sqrt(max(counts[name], FEWEST)) for name in intents], device=device)
    return weights / weights.mean()


def danger_loss(logits, danger):
    """Return how far the heard danger is from the told one, of the rows where it is told (not NaN); else nothing."""
    known = ~danger.isnan()
    if not known.any():
        return logits.new_zeros(())
    return F.binary_cross_entropy_with_logits(logits[known], danger[known] * 0.96 + 0.02)


class Course:
    """The steps of one training: ``parts`` of the net's parameters, each with its highest rate."""

    def __init__(self, net, parts, steps, rising=RISING):
        self.net = net
        groups = [{"params": parameters, "lr": rate} for parameters, rate in parts]
        on_gpu = next(net.parameters()).is_cuda
        self.optimizer = torch.optim.AdamW(groups, weight_decay=0.01, fused=on_gpu)
        rates = [rate for _, rate in parts]
        self.plan = torch.optim.lr_scheduler.OneCycleLR(self.optimizer, rates, steps, pct_start=rising)

    def step(self, loss):
        """Go one step down ``loss``."""
        self.optimizer.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.net.parameters(), 1.0)
        self.optimizer.step()
        self.plan.step()
