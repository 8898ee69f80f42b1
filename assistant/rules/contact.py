"""How long a surface has to stay wet with a sanitizer: the code's time, or the label's if longer."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Limit, Temperature
from assistant.rules.compare import colder_than
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.profile import Profile
from assistant.rules.sanitizer import chlorine_water_limits


def contact_time(
    kind: SanitizerKind,
    profile: Profile,
    product: Product | None = None,
    *,
    ppm: Decimal | None = None,
    temperature: Temperature | None = None,
    ph: Decimal | None = None,
) -> Limit:
    """Return the least contact time in seconds.

    The shorter chlorine time needs 50 to 99 ppm, a known pH and water warm enough for it.
    """
    short = kind == "chlorine" and _warm_fifty(ppm, temperature, ph, profile)
    limit = profile.limit("chlorine_50_contact_min" if short else f"{kind}_contact_min")
    label = product.contact_seconds if product else None
    if product is None or label is None or label <= limit.value:
        return limit
    return Limit(limit.key, label, limit.unit, product.citation)


def _warm_fifty(
    ppm: Decimal | None, temperature: Temperature | None, ph: Decimal | None, profile: Profile
) -> bool:
    if ppm is None or temperature is None or ph is None or not 50 <= ppm < 100:
        return False
    mild, alkaline = chlorine_water_limits(ppm, profile)
    if ph <= profile.value("chlorine_mild_ph_max"):
        return not colder_than(temperature, mild)
    return ph <= profile.value("chlorine_ph_max") and not colder_than(temperature, alkaline)
