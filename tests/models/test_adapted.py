"""A converted model's file is read and written without loss, and a learnt change adds to it what it says."""

import numpy as np
import pytest
from ctranslate2.specs import common_spec
from ctranslate2.specs.model_spec import NumpyVariable
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import MissingError
from assistant.speech.whisper import embedded_model
from models.adapted import adapted
from models.converted import Converted, read_converted
from models.merged import BESIDE, main, quantised

KINDS = st.sampled_from([np.float32, np.int8, np.int16, np.int32, np.float16])
SHAPES = st.lists(st.integers(1, 4), max_size=3).map(tuple)


@given(st.dictionaries(st.text("abc/_", min_size=1), st.tuples(KINDS, SHAPES), max_size=5))
def test_what_is_written_is_read_again(tmp_path_factory, kinds):
    """Names, shapes, kinds and values, for any arrays."""
    arrays = {
        name: np.arange(np.prod(shape, dtype=int)).astype(kind).reshape(shape)
        for name, (kind, shape) in kinds.items()
    }
    path = tmp_path_factory.mktemp("model") / "model.bin"
    path.write_bytes(Converted("Spec", 3, arrays, (("a", "b"),)).to_bytes())
    again = read_converted(path)
    assert (again.spec, again.revision, again.aliases) == ("Spec", 3, (("a", "b"),))
    assert list(again.arrays) == list(arrays)
    for name, array in arrays.items():
        assert again.arrays[name].dtype == array.dtype
        np.testing.assert_array_equal(again.arrays[name], array)


def test_the_file_of_the_embedded_model_comes_out_byte_for_byte():
    """Nothing of the file that ships is lost between reading and writing."""
    path = embedded_model() / "model.bin"
    assert read_converted(path).to_bytes() == path.read_bytes()


@pytest.mark.parametrize("compute", ["int8", "float32"])
def test_the_library_s_own_converter_rounds_alike(compute):
    """CTranslate2's own converter rounds to the same 8 bits: an outside example."""
    spec = common_spec.LinearSpec()
    weight = np.random.default_rng(1).normal(0, 1, (5, 7)).astype(np.float32)
    spec.weight, spec.bias = NumpyVariable(weight.copy()), NumpyVariable(np.ones(5, np.float32))
    spec._quantize(compute)
    if compute == "int8":
        ours = quantised(weight)
        np.testing.assert_array_equal(ours[0], spec.weight.numpy())
        np.testing.assert_allclose(ours[1], spec.weight_scale.numpy(), rtol=1e-6)
    else:
        np.testing.assert_array_equal(spec.weight.numpy(), weight)


def test_merging_writes_matrices_in_eight_bits_and_keeps_the_rest(tmp_path, capsys):
    """Base and change become one file: the sum to half a step, small files copied, aliases with factors."""
    base, target = tmp_path / "base", tmp_path / "whole"
    base.mkdir()
    name, other = "decoder/layer_0/linear_0/weight", "decoder/embeddings/weight"
    arrays = {
        name: np.array([[1.0, -2.0], [0.0, 0.0]], np.float16),
        other: np.array([[0.5, 0.25]], np.float16),
        "encoder/conv1/weight": np.ones((1, 2, 3), np.float16),
    }
    spec = Converted("Spec", 3, arrays, (("decoder/projection/weight", other),))
    (base / "model.bin").write_bytes(spec.to_bytes())
    for small in BESIDE:
        (base / small).write_text(small)
    np.savez(tmp_path / "change.npz", **{f"{name}:add": np.array([[0.5, 0.0], [0.0, 0.0]], np.float16)})
    assert main([str(base), str(tmp_path / "change.npz"), str(target)]) == 0
    assert "MB" in capsys.readouterr().out
    found = read_converted(target / "model.bin")
    assert found.arrays[name].dtype == np.int8
    back = found.arrays[name] / found.arrays[f"{name}_scale"][:, None]
    np.testing.assert_allclose(back, [[1.5, -2.0], [0.0, 0.0]], atol=1 / 127)
    assert found.arrays["encoder/conv1/weight"].dtype == np.float16
    assert ("decoder/projection/weight_scale", f"{other}_scale") in found.aliases
    assert (target / "tokenizer.json").read_text() == "tokenizer.json"


def test_a_change_adds_products_to_matrices_and_sums_to_the_rest(tmp_path):
    """Two by three plus the product of a column and a row; a bias plus its addition; the rest as it was."""
    model, change = tmp_path / "model.bin", tmp_path / "change.npz"
    arrays = {"m": np.ones((2, 3), np.float16), "b": np.zeros(2, np.float16), "kept": np.ones(1, np.int8)}
    model.write_bytes(Converted("Spec", 3, arrays).to_bytes())
    np.savez(
        change,
        **{
            "m:up": np.array([[1.0], [2.0]]),
            "m:down": np.array([[1.0, 0.0, 3.0]]),
            "b:add": np.array([0.5, -1]),
        },
    )
    changed = tmp_path / "changed.bin"
    changed.write_bytes(adapted(model, change))
    found = read_converted(changed).arrays
    np.testing.assert_array_equal(found["m"], [[2, 1, 4], [3, 1, 7]])
    np.testing.assert_array_equal(found["b"], [0.5, -1])
    assert found["kept"] == 1
    assert found["m"].dtype == np.float16


@pytest.mark.parametrize("damage", ["cut", "empty", "other"])
def test_a_damaged_model_or_change_says_so(tmp_path, damage):
    """Never half a model: one sentence, and what to do."""
    model, change = tmp_path / "model.bin", tmp_path / "change.npz"
    whole = Converted("Spec", 3, {"m": np.ones((2, 3), np.float16)}).to_bytes()
    model.write_bytes(whole[:20] if damage == "cut" else whole)
    np.savez(change, **({"m:add": np.ones((9, 9))} if damage == "other" else {"m:add": np.ones((2, 3))}))
    if damage == "empty":
        change.write_bytes(b"")
    with pytest.raises(MissingError, match="damaged"):
        adapted(model, change)
