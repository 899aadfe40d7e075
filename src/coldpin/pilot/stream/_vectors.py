"""Many samples at once for the accelerator: comparing and summing them in the registers of the processor.

numba compiles loops; what it does not see by itself is said here in the language of LLVM, which every processor's own
instructions are made from.
"""

# mypy: disable-error-code="no-untyped-call, import-untyped"
from __future__ import annotations

from typing import Any

from llvmlite import ir
from numba.core import cgutils, types
from numba.extending import intrinsic

MASK = 1 << 6
"""Samples of a mask: one bit each."""

STRIDE = 1 << 8
"""Samples that are looked at before the first is looked at closely: four masks."""

VECTOR_BYTES = 1 << 6
"""Bytes that are summed up together: a cache line."""

_I1, _I32, _I64 = ir.IntType(1), ir.IntType(1 << 5), ir.IntType(1 << 6)


def _load(context: Any, builder: Any, kind: Any, array: Any, index: Any, lanes: int) -> tuple[Any, Any]:
    data = context.make_array(kind)(context, builder, array).data
    element = context.get_value_type(kind.dtype)
    vector = ir.VectorType(element, lanes)
    place = builder.bitcast(builder.gep(data, [index]), vector.as_pointer())
    loaded = builder.load(place)
    loaded.align = element.width >> 3
    return loaded, vector


def _splat(builder: Any, value: Any, vector: Any) -> Any:
    undefined = ir.Constant(vector, ir.Undefined)
    first = builder.insert_element(undefined, value, ir.Constant(_I32, 0))
    return builder.shuffle_vector(first, undefined, ir.Constant(ir.VectorType(_I32, vector.count), [0] * vector.count))


def _comparing(sign: str, lanes: int, *, anywhere: bool) -> Any:
    @intrinsic
    def compared(_typing: Any, array: Any, _index: Any, _threshold: Any) -> Any:
        signature = (types.boolean if anywhere else types.uint64)(array, types.uint64, array.dtype)

        def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            array, index, threshold = arguments
            loaded, vector = _load(context, builder, signature.args[0], array, index, lanes)
            bits = builder.icmp_signed(sign, loaded, _splat(builder, threshold, vector))
            mask = builder.bitcast(bits, ir.IntType(lanes))
            return builder.icmp_unsigned("!=", mask, ir.Constant(mask.type, 0)) if anywhere else mask

        return signature, code

    return compared


any_over = _comparing(">", STRIDE, anywhere=True)
any_under = _comparing("<", STRIDE, anywhere=True)
over_mask = _comparing(">", MASK, anywhere=False)
under_mask = _comparing("<", MASK, anywhere=False)


@intrinsic
def first_bit(_typing: Any, _mask: Any) -> Any:
    """Return the number of the lowest bit that is set."""

    def code(_context: Any, builder: Any, _signature: Any, arguments: Any) -> Any:
        return builder.cttz(arguments[0], ir.Constant(_I1, 1))

    return types.uint64(types.uint64), code


@intrinsic
def sums_about(_typing: Any, array: Any, _first: Any, _stop: Any, _reference: Any) -> Any:
    """Return departure from a reference, its squares, least and most of a stretch of at least one vector of samples.

    Departures are taken in the width of the samples and summed in twice that: the caller sees to it that they fit, or
    that nothing depends on them. The last samples are taken as a whole vector too, of which only those count that the
    vectors before have not summed.
    """
    result = types.UniTuple(types.int64, 4)
    signature = result(array, types.uint64, types.uint64, array.dtype)

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        array, first, stop, reference = arguments
        element = context.get_value_type(signature.args[0].dtype)
        lanes = (VECTOR_BYTES << 3) // element.width
        narrow = ir.VectorType(element, lanes)
        # 16 bits are summed by pairs, for which processors have an instruction
        paired = element.width == 1 << 4
        wide = ir.VectorType(ir.IntType(2 * element.width), lanes // 2 if paired else lanes)
        about = _splat(builder, reference, narrow)
        zero, nothing = ir.Constant(wide, [0] * wide.count), ir.Constant(narrow, [0] * lanes)
        step = ir.Constant(_I64, lanes)

        def load(index: Any) -> Any:
            return _load(context, builder, signature.args[0], array, index, lanes)[0]

        def summed(apart: Any) -> tuple[Any, Any]:
            if not paired:
                whole = builder.sext(apart, wide)
                return whole, builder.mul(whole, whole)
            # said in the way that is known to become the instruction
            whole = builder.sext(apart, ir.VectorType(wide.element, lanes))
            squared = builder.mul(whole, whole, flags=["nsw"])
            even, odd = (
                builder.shuffle_vector(
                    squared, squared, ir.Constant(ir.VectorType(_I32, wide.count), list(range(first, lanes, 2)))
                )
                for first in (0, 1)
            )
            pairs = builder.bitcast(apart, wide)
            half = ir.Constant(wide, [element.width] * wide.count)
            lower = builder.ashr(builder.shl(pairs, half), half)
            return builder.add(lower, builder.ashr(pairs, half)), builder.add(even, odd)

        def added(sums: Any, loaded: Any, apart: Any) -> tuple[Any, ...]:
            departure, squares, least, most = sums
            more, squared = summed(apart)
            return (
                builder.add(departure, more),
                builder.add(squares, squared),
                builder.select(builder.icmp_signed("<", loaded, least), loaded, least),
                builder.select(builder.icmp_signed(">", loaded, most), loaded, most),
            )

        before = builder.block
        last = builder.sub(stop, step)
        loop, after = builder.append_basic_block("sum"), builder.append_basic_block("summed")
        builder.branch(loop)
        builder.position_at_end(loop)
        index = builder.phi(_I64)
        sums = [builder.phi(kind) for kind in (wide, wide, narrow, narrow)]
        loaded = load(index)
        following = added(sums, loaded, builder.sub(loaded, about))
        index_following = builder.add(index, step)
        for value, start, next_one in zip(
            (index, *sums), (first, zero, zero, about, about), (index_following, *following), strict=True
        ):
            value.add_incoming(start, before)
            value.add_incoming(next_one, loop)
        builder.cbranch(builder.icmp_unsigned("<=", index_following, last), loop, after)
        builder.position_at_end(after)
        # of the last vector the lanes before index_following are summed already
        new = builder.trunc(builder.sub(index_following, last), element)
        lane = ir.Constant(narrow, list(range(lanes)))
        loaded = load(last)
        lane_is_new = builder.icmp_signed(">=", lane, _splat(builder, new, narrow))
        counted = builder.select(lane_is_new, builder.sub(loaded, about), nothing)
        ends = added(following, loaded, counted)
        widest = ir.VectorType(_I64, wide.count)
        totals = [
            _reduced(builder, "add", builder.sext(end, widest) if end.type != widest else end) for end in ends[:2]
        ]
        totals += [
            builder.sext(_reduced(builder, name, end), _I64) for name, end in (("smin", ends[2]), ("smax", ends[3]))
        ]
        return context.make_tuple(builder, signature.return_type, totals)

    return signature, code


def _reduced(builder: Any, name: str, vector: Any) -> Any:
    kind = vector.type
    known = f"llvm.vector.reduce.{name}.v{kind.count}i{kind.element.width}"
    function = cgutils.get_or_insert_function(builder.module, ir.FunctionType(kind.element, [kind]), known)
    return builder.call(function, [vector])
