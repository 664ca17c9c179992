"""How the page looks, on a screen and on paper: black on white, A4 or Letter as the printer has it."""

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font: 11pt/1.4 "Liberation Sans", sans-serif; color: #000; background: #fff;
  margin: 0 auto; max-width: 19cm; padding: 8mm; }
h1 { font-size: 19pt; line-height: 1.15; margin: 0 0 2mm; }
h2 { font-size: 15pt; margin: 8mm 0 3mm; padding-bottom: 1mm; border-bottom: 2pt solid #000; }
h3 { font-size: 12pt; margin: 0 0 1mm; }
p, ul, ol { margin: 0 0 1.5mm; }
ul.points { padding-left: 5mm; }
ul.plain, ol.plain { list-style: none; padding-left: 0; }
ul.plain li { margin-bottom: 1mm; }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm; }
th, td { border: 0.6pt solid #000; padding: 1mm 2mm; text-align: left; vertical-align: top; }
.quiet { color: #333; font-size: 9.5pt; overflow-wrap: anywhere; }
.number { display: inline-block; min-width: 11mm; }
.box { display: inline-block; width: 4mm; height: 4mm; border: 1pt solid #000; vertical-align: -0.6mm;
  margin-right: 1mm; }
.blank { display: inline-block; min-width: 26mm; border-bottom: 0.8pt solid #000; }
.blank.short { min-width: 14mm; }
.blank.long { min-width: 70mm; }
.field { display: inline-block; margin: 0 5mm 2mm 0; }
.framed { border: 1pt solid #000; padding: 2mm 3mm; margin: 0 0 4mm; }
.step { border-top: 0.6pt solid #666; padding: 2.5mm 0 1mm; }
.step.aside { border: 1pt dashed #000; padding: 2mm 3mm; margin: 2mm 0 2mm 8mm; }
.hazard { border: 2.5pt solid #000; padding: 2mm 3mm; margin: 2mm 0; }
.signal { display: inline-block; font-size: 14pt; font-weight: bold; letter-spacing: 0.08em;
  border: 1.5pt solid #000; padding: 0 3mm; margin: 0 0 1mm; }
.danger .signal { border-width: 4pt; }
.harm { font-weight: bold; }
.ways { font-weight: bold; }
pre { font: 8.5pt/1.15 "Liberation Mono", "DejaVu Sans Mono", monospace; margin: 1mm 0 2mm; }
.step, .hazard, .framed, tr, li { break-inside: avoid; }
h1, h2, h3, .lead { break-after: avoid; }
.answers { break-before: page; }
@media print { body { max-width: none; padding: 0; } }
"""


def style(named: str) -> str:
    """The style sheet. named: what stands at the foot of every page; only letters, digits, simple signs."""
    foot = "".join(one for one in named if one.isalnum() or one in " ,.-")
    return (
        f"{STYLE}@page {{ margin: 14mm 14mm 16mm; "
        f'@bottom-left {{ content: "{foot}"; font: 8pt sans-serif; }} '
        '@bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; } }\n'
    )
