"""A square code that a telephone or a scanner reads, as a drawing."""

CLEAR_MODULES = 4  # of white round the symbol


def qr_code(text: str) -> str:
    """Return a text as a QR code in SVG, without style or script.

    Source: ISO/IEC 18004 for the symbol, which a general-purpose library computes.
    """
    import segno

    code = segno.make(text, error="m", micro=False)
    modules = code.symbol_size(border=CLEAR_MODULES)[0]
    dark = [f"M{x} {y}h1v1h-1z" for y, row in enumerate(code.matrix_iter(border=CLEAR_MODULES))
            for x, module in enumerate(row) if module]
    return (f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="Scannable code" class="code" '
            f'viewBox="0 0 {modules} {modules}"><rect width="{modules}" height="{modules}" fill="#fff"/>'
            f'<path d="{"".join(dark)}" fill="#000"/></svg>')
