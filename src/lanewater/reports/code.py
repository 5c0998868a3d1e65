"""The stamp as a code that a telephone reads."""

from __future__ import annotations

import io

import segno

# A module of half a millimetre is read from a print by any camera at arm's length.
MODULE_MM = 0.5
BORDER = 4


def code_of(stamp: str) -> segno.QRCode:
    """Give a stamp's QR code, error correction M."""
    return segno.make_qr(stamp.encode(), error="m", boost_error=False)


def stamp_code(stamp: str) -> tuple[str, float]:
    """Draw a stamp as a QR code.

    Parameters
    ----------
    stamp : str
        The whole signed note.

    Returns
    -------
    str, float
        The drawing as SVG, and its width in mm at half a millimetre a module, quiet zone included.
    """
    code = code_of(stamp)
    stream = io.BytesIO()
    code.save(stream, kind="svg", border=BORDER, xmldecl=False, svgclass=None, lineclass=None)
    return stream.getvalue().decode(), code.symbol_size(border=BORDER)[0] * MODULE_MM
