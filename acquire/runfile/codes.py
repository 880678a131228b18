"""Raw values of a closed file as the whole numbers that a device counts in; bit for bit the same when divided again.

A sensor of 1 mK sends 21.503 and means 21503 steps.  As whole numbers such columns take half the room of float64
(measured: 0.55 bytes a reading against 1.05).  A column that is not made of such steps stays float64.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.runfile.strings import set_attr

#: Digits behind the point that devices send, tried in this order.
DIVISORS = tuple(10.0**digits for digits in range(8))
NO_NUMBER = -(2**31)
TYPE = "i4"


def divisor_for(parts: Iterable[NDArray[np.float64]]) -> float | None:
    """The smallest divisor by which all of these values are whole numbers; None when there is none."""
    left = list(DIVISORS)
    for part in parts:
        while left and encoded(part, left[0]) is None:
            left.pop(0)
        if not left:
            return None
    return left[0]


def encoded(values: NDArray[np.float64], divisor: float) -> NDArray[np.int32] | None:
    """Whole numbers that `values` are made of; None where dividing them would not give the same bits."""
    values = np.ascontiguousarray(values, np.float64)
    missing = np.isnan(values)
    some = bool(missing.any())
    with np.errstate(invalid="ignore", over="ignore"):
        whole = (np.where(missing, 0.0, values) if some else values) * divisor
    np.rint(whole, out=whole)
    whole += 0.0  # a negative zero has no whole number of its own
    if len(whole) and not (-whole.min() < -NO_NUMBER and whole.max() < -NO_NUMBER):
        return None
    out = whole.astype(np.int32)
    whole /= divisor
    if some:
        out[missing] = NO_NUMBER
        whole[missing] = np.nan
    return out if np.array_equal(whole.view(np.int64), values.view(np.int64)) else None


def describe(column: h5py.Dataset, divisor: float) -> None:
    """Say in the file how to read it; `scale_factor` and `_FillValue` are what climate tools go by."""
    set_attr(column, "divisor", divisor)
    set_attr(column, "scale_factor", 1.0 / divisor)
    column.attrs["_FillValue"] = np.int32(NO_NUMBER)
    set_attr(column, "description", f"Whole numbers; divided by {divisor:g} as received. {NO_NUMBER}: not a number")


def raw_values(column: h5py.Dataset, stored: NDArray[Any]) -> NDArray[np.float64]:
    """These rows of a `raw_value` column as received.

    Raises
    ------
    ValueError
        The column does not say how it is to be read.
    """
    if column.dtype.kind == "f":
        return np.ascontiguousarray(stored, np.float64)
    if "divisor" not in column.attrs or column.attrs.get_id("divisor").dtype.kind != "f":
        raise ValueError(f"{column.name} holds whole numbers and does not say by what to divide them")
    divisor = np.asarray(column.attrs["divisor"]).ravel()
    if len(divisor) != 1 or divisor[0] not in DIVISORS:
        raise ValueError(f"{column.name} is to be divided by {divisor[:3].tolist()}, which we never write")
    return _divided(np.asarray(stored), float(divisor[0]))


def _divided(codes: NDArray[Any], divisor: float) -> NDArray[np.float64]:
    out = codes.astype(np.float64) / divisor
    out[codes == NO_NUMBER] = np.nan
    return out
