"""Numbers out of delimited text: rows of fields into columns, in machine code, block by block.

One pass over the bytes. What is a plain number (decimal point or comma, exponent, thousands mark, quotes), a time of
day, or empty is read here; every other field, and every row with another count of fields, is left to the caller as
"odd", with its place, so that nothing is dropped in silence.
"""

from __future__ import annotations

import numpy as np

from boostwright.numerics.compiler import compiled

__all__ = ["ODD_WIDTH", "ROW_IS_ODD", "TENS", "read_rows"]

ROW_IS_ODD = -1
"""Stands for the column where the whole row is odd: it has another count of fields."""

ODD_WIDTH = 5
"""Numbers kept of an odd field: row, column or ROW_IS_ODD, first byte, byte behind, line within the block."""

TENS = 10.0 ** np.arange(23)
"""Powers of ten that a float64 holds exactly."""

_NEWLINE, _RETURN, _SPACE, _TAB, _QUOTE = 10, 13, 32, 9, 34
_MOST = (
    900_000_000_000_000  # a mantissa beyond this could round; the caller reads such a field digit by digit
)


@compiled
def read_rows(  # type: ignore[no-untyped-def]
    text, start, stop, marks, tens, narrow, wide, wide_of, odd, line_of, big
):
    """Read rows of fields between two bytes of a text.

    text       (n,) uint8
    start      first byte; stop: byte behind the last; both at ends of lines
    marks      (4,) int64: byte between fields; byte of the decimal mark; byte of the thousands mark or 0; 1 where
               separators side by side count as one, and those at the start of a line as none
    tens       ``TENS``
    narrow     (columns, rows) float32, and wide (k, rows) float64: filled by column
    wide_of    (columns,) which row of ``wide`` takes a column, or -1
    odd        (m, ODD_WIDTH) int64: filled with what is left to the caller
    line_of    (rows,) int64: filled with the line of each row, counted from 0 at ``start``
    big        (columns,) int64: raised to the largest whole number met in a narrow column
    Returns rows read, odd entries, the byte at which reading stopped and lines passed; reading stops early, at a line's
    start, when an array is full. Empty fields are NaN. Source: own; exact where mantissa and power of ten are exact
    (W. D. Clinger, How to read floating point numbers accurately, 1990).
    """
    separator, decimal, thousands, merge = marks[0], marks[1], marks[2], marks[3]
    columns = narrow.shape[0]
    capacity = narrow.shape[1]
    room = odd.shape[0] - columns - 2
    position = start
    row = 0
    odds = 0
    line = 0
    nan = np.nan
    while position < stop:
        # blank lines, and the second byte of a line end
        c = text[position]
        if c == _NEWLINE:
            line += 1
            position += 1
            continue
        if c == _RETURN:
            if not (position + 1 < text.size and text[position + 1] == _NEWLINE):
                line += 1
            position += 1
            continue
        if row >= capacity or odds > room:
            break
        first = position
        before = odds
        column = 0
        ended = False
        if merge:
            while position < stop and (text[position] == _SPACE or text[position] == _TAB):
                position += 1
        while not ended:
            # one field
            while position < stop and text[position] == _SPACE:
                position += 1
            begin = position
            quoted = position < stop and text[position] == _QUOTE
            if quoted:
                position += 1
                while position < stop and text[position] == _SPACE:
                    position += 1
            negative = False
            if position < stop:
                c = text[position]
                if c == 45:
                    negative = True
                    position += 1
                elif c == 43:
                    position += 1
            mantissa = 0
            digits = 0
            scale = 0
            total = 0.0
            parts = 0
            state = 0  # 0 whole digits, 1 behind the decimal mark
            good = True
            finish = False
            while position < stop:
                c = text[position]
                d = c - 48
                if 0 <= d <= 9:
                    if mantissa < _MOST // 10:
                        mantissa = mantissa * 10 + d
                        scale -= state
                    elif state == 0 or d != 0:
                        good = False
                    digits += 1
                    position += 1
                    continue
                if c == decimal and state == 0 and (quoted or decimal != separator):
                    state = 1
                    position += 1
                    continue
                break
            if position < stop and digits > 0:
                c = text[position]
                # time of day: hours, minutes and seconds between colons
                while c == 58 and state == 0 and parts < 2 and digits > 0:
                    total = (total + mantissa) * 60.0
                    parts += 1
                    mantissa = 0
                    digits = 0
                    position += 1
                    while position < stop:
                        c = text[position]
                        d = c - 48
                        if 0 <= d <= 9 and mantissa < _MOST // 10:
                            mantissa = mantissa * 10 + d
                            scale -= state
                            digits += 1
                            position += 1
                        elif (
                            state == 0
                            and digits > 0
                            and (c == 46 or (c == 44 and (quoted or separator != 44)))
                        ):
                            state = 1
                            position += 1
                        else:
                            break
                    if position >= stop:
                        break
                    c = text[position]
                # thousands: groups of three
                if (
                    thousands != 0
                    and parts == 0
                    and state == 0
                    and c == thousands
                    and (quoted or c != separator)
                ):
                    while position + 3 < stop and text[position] == thousands:
                        ok = True
                        for k in range(1, 4):
                            ok = ok and 48 <= text[position + k] <= 57
                        if not ok:
                            break
                        for k in range(1, 4):
                            mantissa = mantissa * 10 + (text[position + k] - 48)
                        digits += 3
                        position += 4
                        good = good and mantissa < _MOST
                    if position < stop and text[position] == decimal and decimal != thousands:
                        position += 1
                        while position < stop and 48 <= text[position] <= 57 and mantissa < _MOST // 10:
                            mantissa = mantissa * 10 + (text[position] - 48)
                            scale -= 1
                            position += 1
                    c = text[position] if position < stop else 10
                # exponent
                if (c == 101 or c == 69) and parts == 0:
                    k = position + 1
                    sign = 1
                    if k < stop and (text[k] == 45 or text[k] == 43):
                        sign = -1 if text[k] == 45 else 1
                        k += 1
                    power = 0
                    some = False
                    while k < stop and 48 <= text[k] <= 57 and power < 1000:
                        power = power * 10 + (text[k] - 48)
                        some = True
                        k += 1
                    if some:
                        scale += sign * power
                        position = k
            if quoted:
                while position < stop and text[position] == _SPACE:
                    position += 1
                if position < stop and text[position] == _QUOTE:
                    position += 1
                else:
                    good = False
            behind = position
            while position < stop and text[position] == _SPACE:
                position += 1
            # is this the end of the field?
            if position >= stop:
                finish = True
                ended = True
            else:
                c = text[position]
                if c == separator or (merge and c == _TAB):
                    finish = True
                elif c == _NEWLINE or c == _RETURN:
                    finish = True
                    ended = True
                elif merge and position > behind:
                    finish = True
                    position -= 1
            value = nan
            if finish and digits > 0 and good:
                if -22 <= scale < 0:
                    value = mantissa / tens[-scale]
                elif scale == 0:
                    value = float(mantissa)
                elif 0 < scale <= 22:
                    value = mantissa * tens[scale]
                elif mantissa == 0:
                    value = 0.0
                else:
                    good = False
                value += total
                if negative:
                    value = -value
            empty = finish and digits == 0 and state == 0 and parts == 0
            if empty and not quoted and behind > begin:
                empty = negative  # a dash alone stands for nothing; a plus does not
            if empty and quoted and not good:
                empty = False
            if not finish or (not empty and (digits == 0 or not good)):
                # left to the caller: to the end of the field, quotes respected
                position = begin
                inside = False
                while position < stop:
                    c = text[position]
                    if c == _NEWLINE or c == _RETURN:
                        break
                    if c == _QUOTE:
                        inside = not inside
                    elif not inside and (c == separator or (merge and (c == _SPACE or c == _TAB))):
                        break
                    position += 1
                ended = position >= stop or text[position] == _NEWLINE or text[position] == _RETURN
                dashes = position > begin
                for k in range(begin, position):
                    if text[k] != 45 and text[k] != _SPACE:
                        dashes = False
                size = position - begin
                word = size == 3 and (text[begin] | 32) == 110 and (text[begin + 1] | 32) == 97
                word = word and (text[begin + 2] | 32) == 110
                if not dashes and not word:
                    if column < columns and odds < odd.shape[0]:
                        odd[odds, 0] = row
                        odd[odds, 1] = column
                        odd[odds, 2] = begin
                        odd[odds, 3] = position
                        odd[odds, 4] = line
                        odds += 1
                value = nan
            if column < columns:
                place = wide_of[column]
                if place >= 0:
                    wide[place, row] = value
                else:
                    narrow[column, row] = value
                    if scale >= 0 and value > big[column]:
                        big[column] = int(value)
            column += 1
            if not ended:
                position += 1
                if merge:
                    while position < stop and (text[position] == _SPACE or text[position] == _TAB):
                        position += 1
                    if position >= stop or text[position] == _NEWLINE or text[position] == _RETURN:
                        ended = True
        if column != columns:
            odds = before
            odd[odds, 0] = row
            odd[odds, 1] = ROW_IS_ODD
            odd[odds, 2] = first
            odd[odds, 3] = position
            odd[odds, 4] = line
            odds += 1
            for k in range(column, columns):
                if wide_of[k] >= 0:
                    wide[wide_of[k], row] = nan
                else:
                    narrow[k, row] = nan
        line_of[row] = line
        row += 1
    return row, odds, position, line
