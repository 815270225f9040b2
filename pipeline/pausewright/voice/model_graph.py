"""Changes voice models in memory: repeatable noise, lengths that follow the pace.

The models draw noise inside the network, so two calls on one text differ in length and bytes.
In memory, each node that draws is replaced by one that takes its share from an input:

    RandomNormalLike(x)   becomes   Reshape(Slice(noise, 0, size of x), shape of x)

With the same noise a model gives the same samples, whatever it said before. The lengths of the
single sounds are made an output as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import onnx
from onnx import TensorProto, helper
from piper.patch_voice_with_alignment import add_alignment_output

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import VOICE_FILE
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import VoiceError

if TYPE_CHECKING:
    from pathlib import Path

_OTHER_RANDOM = ("RandomNormal", "RandomUniform", "RandomUniformLike", "Multinomial", "Bernoulli")


@frozen
class RepeatableModel:
    """A model whose noise is an input."""

    content: bytes
    """The model, as onnxruntime reads it."""
    noise_inputs: tuple[str, ...]
    """Names of the inputs that take noise: float32, shape (any length,)."""
    lengths_output: str | None
    """Name of the output with the length of each sound in hops, if the model has it."""


def repeatable_model(file: Path, inside: Path | None) -> RepeatableModel:
    """Read a model and replace what draws random numbers in it.

    Raises
    ------
    VoiceError
        If the file is no such model, or draws numbers in a way that is not known here.
    """
    model = _read(file, inside)
    inputs: list[str] = []
    nodes: list[onnx.NodeProto] = []
    for node in model.graph.node:
        if node.op_type in _OTHER_RANDOM:
            raise VoiceError(
                f"the voice model {file.name} draws random numbers by {node.op_type}; "
                "its takes could not be repeated",
                "name another voice",
            )
        if node.op_type == "RandomNormalLike":
            name = f"noise_{len(inputs)}"
            nodes += _drawn_from(name, node)
            inputs.append(name)
        else:
            nodes.append(node)
    if not nodes:
        raise VoiceError(f"the voice model {file.name} is empty", "copy the file again")
    del model.graph.node[:]
    model.graph.node.extend(nodes)
    model.graph.input.extend(
        helper.make_tensor_value_info(name, TensorProto.FLOAT, [None]) for name in inputs
    )
    model.graph.initializer.extend(_constants())
    try:
        lengths: str | None = add_alignment_output(model)
    except ValueError:
        lengths = None
    return RepeatableModel(model.SerializeToString(), tuple(inputs), lengths)


def paced_model(file: Path, inside: Path | None) -> tuple[bytes, bool]:
    """Read a model, and change it as `pace_by_symbol` does; the second value says whether it could.

    Raises
    ------
    VoiceError
        If the file is no model.
    """
    model = _read(file, inside)
    is_paced = pace_by_symbol(model)
    content: bytes = model.SerializeToString()
    return content, is_paced


def pace_by_symbol(model: onnx.ModelProto) -> bool:
    """Change a model's lengths in memory; return whether its graph is one where that can be done.

    It must divide lengths by its input `speed` and then round them in its only node `Round`; what
    that gives may pass through a `Clip` from below. Then

    - rounding carries over from sound to sound, so that no speed makes a jump: with a `Clip`,
      lengths are brought to its least value before and not after that,
    - `speed` may have a value for each symbol in place of one for all,
    - the rounded lengths, in frames, shape (1, n_symbols), become the last output.
    """
    nodes = list(model.graph.node)
    rounds = [i for i, node in enumerate(nodes) if node.op_type == "Round"]
    divided = {
        node.output[0] for node in nodes if node.op_type == "Div" and node.input[1] == "speed"
    }
    if len(rounds) != 1 or nodes[rounds[0]].input[0] not in divided:
        return False
    at = rounds[0]
    divided_by, rounded = nodes[at].input[0], nodes[at].output[0]
    users = [i for i, node in enumerate(nodes) if rounded in node.input]
    if len(users) == 1 and nodes[users[0]].op_type == "Clip":
        clip = nodes[users[0]]
        least = helper.make_node("Max", [divided_by, clip.input[1]], ["carry_least"])
        lengths = clip.output[0]
        nodes[users[0] : users[0] + 1] = [least, *_carrying_over("carry_least", lengths)]
        del nodes[at]
    else:
        lengths = rounded
        nodes[at : at + 1] = _carrying_over(divided_by, lengths)
    del model.graph.node[:]
    model.graph.node.extend(nodes)
    model.graph.initializer.extend(
        (
            helper.make_tensor("carry_axis", TensorProto.INT64, [], [-1]),
            helper.make_tensor("carry_half", TensorProto.FLOAT, [], [0.5]),
        )
    )
    for one in model.graph.input:
        if one.name == "speed":
            one.type.tensor_type.shape.dim[0].Clear()
    model.graph.output.append(helper.make_tensor_value_info(lengths, TensorProto.FLOAT, None))
    return True


def _carrying_over(lengths: str, output: str) -> list[onnx.NodeProto]:
    made = []
    for name, exclusive in (("to_here", 0), ("before", 1)):
        made += [
            helper.make_node(
                "CumSum", [lengths, "carry_axis"], [f"{name}_sum"], exclusive=exclusive
            ),
            helper.make_node("Add", [f"{name}_sum", "carry_half"], [f"{name}_half"]),
            helper.make_node("Floor", [f"{name}_half"], [f"{name}_whole"]),
        ]
    made.append(helper.make_node("Sub", ["to_here_whole", "before_whole"], [output]))
    return made


def _read(file: Path, inside: Path | None) -> onnx.ModelProto:
    raw = file_bytes(file, VOICE_FILE, inside)
    try:
        return onnx.load_model_from_string(raw)  # so nothing beside it is read that it names
    except Exception as fault:  # whatever a damaged file makes the reader raise
        raise VoiceError(
            f"the voice model {file.name} cannot be read", "copy the file again; it may be damaged"
        ) from fault


def _constants() -> tuple[onnx.TensorProto, ...]:
    return (
        helper.make_tensor("noise_from", TensorProto.INT64, [1], [0]),
        helper.make_tensor("noise_flat", TensorProto.INT64, [1], [-1]),
    )


def _drawn_from(noise: str, node: onnx.NodeProto) -> list[onnx.NodeProto]:
    """Return the nodes that take the place of a node that draws normal numbers."""
    attributes = {a.name: helper.get_attribute_value(a) for a in node.attribute}
    if attributes.get("mean", 0.0) != 0.0 or attributes.get("scale", 1.0) != 1.0:
        raise VoiceError(
            "the voice model draws random numbers of another mean or scale; "
            "its takes could not be repeated",
            "name another voice",
        )
    shape, size, size_1d, part = (f"{noise}_{name}" for name in ("shape", "size", "size1d", "part"))
    return [
        helper.make_node("Shape", [node.input[0]], [shape]),
        helper.make_node("ReduceProd", [shape], [size], keepdims=0),
        helper.make_node("Reshape", [size, "noise_flat"], [size_1d]),
        helper.make_node("Slice", [noise, "noise_from", size_1d], [part]),
        helper.make_node("Reshape", [part, shape], list(node.output), name=node.name),
    ]
