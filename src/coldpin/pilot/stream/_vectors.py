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


def _masking(sign: str) -> Any:
    @intrinsic
    def mask(_typing: Any, array: Any, _index: Any, _threshold: Any) -> Any:
        def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            array, index, threshold = arguments
            loaded, vector = _load(context, builder, signature.args[0], array, index, MASK)
            return builder.bitcast(builder.icmp_signed(sign, loaded, _splat(builder, threshold, vector)), _I64)

        return types.uint64(array, types.uint64, array.dtype), code

    return mask


def _telling(sign: str) -> Any:
    @intrinsic
    def told(_typing: Any, array: Any, _index: Any, _threshold: Any) -> Any:
        def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            array, index, threshold = arguments
            kind = signature.args[0]
            lanes = (VECTOR_BYTES << 3) // context.get_value_type(kind.dtype).width
            places = [builder.add(index, ir.Constant(_I64, offset)) for offset in range(0, STRIDE, lanes)]
            parts = [_load(context, builder, kind, array, place, lanes)[0] for place in places]
            # the farthest of every lane first: choosing is quicker than comparing
            while len(parts) > 1:
                parts = [
                    _farther(builder, sign, one, other) for one, other in zip(parts[0::2], parts[1::2], strict=True)
                ]
            bits = builder.icmp_signed(sign, parts[0], _splat(builder, threshold, parts[0].type))
            mask = builder.bitcast(bits, ir.IntType(lanes))
            return builder.icmp_unsigned("!=", mask, ir.Constant(mask.type, 0))

        return types.boolean(array, types.uint64, array.dtype), code

    return told


def _farther(builder: Any, sign: str, one: Any, other: Any) -> Any:
    return builder.select(builder.icmp_signed(sign, one, other), one, other)


any_over, any_under = _telling(">"), _telling("<")
over_mask, under_mask = _masking(">"), _masking("<")


@intrinsic
def first_bit(_typing: Any, _mask: Any) -> Any:
    """Return the number of the lowest bit that is set."""

    def code(_context: Any, builder: Any, _signature: Any, arguments: Any) -> Any:
        return builder.cttz(arguments[0], ir.Constant(_I1, 1))

    return types.uint64(types.uint64), code


@intrinsic
def sums_about(_typing: Any, array: Any, _first: Any, _stop: Any, _reference: Any, _one: Any) -> Any:
    """Return departure from a reference, its squares, least and most of a stretch of at least one vector of samples.

    Departures are taken in the width of the samples and summed in twice that: the caller sees to it that they fit, or
    that nothing depends on them. Two vectors are summed side by side, since each waits for its last sum. The last
    samples are taken as a whole vector too, of which only those count that the vectors before have not summed. ``one``
    is 1, in the type of the samples.
    """
    result = types.UniTuple(types.int64, 4)
    signature = result(array, types.uint64, types.uint64, array.dtype, array.dtype)

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        array, first, stop, reference, one = arguments
        element = context.get_value_type(signature.args[0].dtype)
        lanes = (VECTOR_BYTES << 3) // element.width
        narrow = ir.VectorType(element, lanes)
        # 16 bits are multiplied and summed by pairs, for which processors have an instruction
        paired = element.width == 1 << 4
        double = ir.IntType(2 * element.width)
        wide = ir.VectorType(double, lanes // 2 if paired else lanes)
        about, ones = _splat(builder, reference, narrow), _splat(builder, one, narrow)
        zero, nothing = ir.Constant(wide, [0] * wide.count), ir.Constant(narrow, [0] * lanes)
        step = ir.Constant(_I64, lanes)

        def load(index: Any) -> Any:
            return _load(context, builder, signature.args[0], array, index, lanes)[0]

        def product(one_side: Any, other_side: Any) -> Any:
            # said in the way that is known to become the instruction
            whole = ir.VectorType(double, lanes)
            products = builder.mul(builder.sext(one_side, whole), builder.sext(other_side, whole), flags=["nsw"])
            even, odd = (
                builder.shuffle_vector(
                    products, products, ir.Constant(ir.VectorType(_I32, wide.count), list(range(start, lanes, 2)))
                )
                for start in (0, 1)
            )
            return builder.add(even, odd)

        def summed(apart: Any) -> tuple[Any, Any]:
            if paired:
                # times one that the compiler does not know to be one: the quickest way to widen and add
                return product(apart, ones), product(apart, apart)
            whole = builder.sext(apart, wide)
            return whole, builder.mul(whole, whole)

        def added(sums: Any, loaded: Any, apart: Any) -> tuple[Any, ...]:
            departure, squares, least, most = sums
            more, squared = summed(apart)
            return (
                builder.add(departure, more),
                builder.add(squares, squared),
                _farther(builder, "<", loaded, least),
                _farther(builder, ">", loaded, most),
            )

        def looped(index: Any, sums: tuple[Any, ...], at_once: int) -> tuple[Any, tuple[Any, ...]]:
            """Sum up vectors, some at once, as long as so many are left; return where and what then."""
            sides = len(sums) // at_once
            before = builder.block
            head, body, after = (builder.append_basic_block(name) for name in ("head", "sum", "summed"))
            builder.branch(head)
            builder.position_at_end(head)
            place = builder.phi(_I64)
            held = tuple(builder.phi(one_sum.type) for one_sum in sums)
            end = builder.add(place, ir.Constant(_I64, at_once * lanes))
            builder.cbranch(builder.icmp_unsigned("<=", end, stop), body, after)
            builder.position_at_end(body)
            following: tuple[Any, ...] = ()
            for turn in range(at_once):
                loaded = load(builder.add(place, ir.Constant(_I64, turn * lanes)))
                following += added(held[turn * sides : (turn + 1) * sides], loaded, builder.sub(loaded, about))
            for value, start, next_one in zip((place, *held), (index, *sums), (end, *following), strict=True):
                value.add_incoming(start, before)
                value.add_incoming(next_one, body)
            builder.branch(head)
            builder.position_at_end(after)
            return place, held

        start = (zero, zero, about, about)
        index, both = looped(first, start * 2, 2)
        departure, squares, least, most = (
            (one_sum, other_sum) for one_sum, other_sum in zip(both[:4], both[4:], strict=True)
        )
        sums = (
            builder.add(*departure),
            builder.add(*squares),
            _farther(builder, "<", *least),
            _farther(builder, ">", *most),
        )
        index, sums = looped(index, sums, 1)
        # of the last vector the lanes before index are summed already
        last = builder.sub(stop, step)
        new = builder.trunc(builder.sub(index, last), element)
        lane = ir.Constant(narrow, list(range(lanes)))
        loaded = load(last)
        lane_is_new = builder.icmp_signed(">=", lane, _splat(builder, new, narrow))
        counted = builder.select(lane_is_new, builder.sub(loaded, about), nothing)
        ends = added(sums, loaded, counted)
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
