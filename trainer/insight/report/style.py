"""How a report looks, on a screen and on paper. Shades tell apart in grey too, beside a word for each."""

from __future__ import annotations

from trainer.insight.report.material import Paper

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
body { font: 10pt/1.42 "Liberation Sans", sans-serif; color: #111; background: #fff;
  margin: 0; }
header, main, footer { max-width: 186mm; margin: 0 auto; padding: 0 4mm; }
header { padding-top: 6mm; }
h1 { font-size: 21pt; line-height: 1.15; margin: 0 0 1.5mm; letter-spacing: -0.01em; }
h2 { font-size: 14pt; line-height: 1.2; margin: 9mm 0 2.5mm; padding-top: 2mm; border-top: 1.6pt solid #111; }
h3 { font-size: 11pt; line-height: 1.25; margin: 5mm 0 1.5mm; }
h4 { font-size: 10pt; margin: 3mm 0 1mm; }
p, ul, ol, dl { margin: 0 0 2mm; }
p, li, dd { max-width: 165mm; }
ul { padding-left: 5mm; }
a { color: #1d4568; }
.skip { position: absolute; left: -200vw; }
.skip:focus { left: 4mm; top: 2mm; background: #fff; padding: 2mm; border: 1.5pt solid #111; }
.invented { background: #111; color: #fff; font-weight: bold; padding: 1.5mm 4mm; text-align: center;
  max-width: none; z-index: 1;
  position: sticky; top: 0; }
.under { color: #4a4a4a; margin-bottom: 4mm; }
.quiet { color: #4a4a4a; font-size: 8.5pt; font-weight: normal; }
.id { font-family: "Liberation Mono", "DejaVu Sans Mono", monospace; font-size: 0.86em;
  overflow-wrap: anywhere; }
.summary { border: 1.6pt solid #111; padding: 3mm 4mm 1.5mm; margin: 0 0 3mm; }
.summary h2 { border: 0; padding: 0; margin: 0 0 2mm; font-size: 12pt; }
.summary .group { display: grid; grid-template-columns: 30mm 1fr; gap: 0 4mm; border-top: 0.6pt solid #9a9a9a;
  padding: 1.6mm 0 0.6mm; }
.summary .group h3 { margin: 0; font-size: 10pt; }
.summary ul { list-style: none; padding: 0; margin: 0; }
.summary li, .summary p { margin-bottom: 1mm; font-size: 9pt; line-height: 1.35; }
td ul { padding: 0; margin: 0 0 1mm; list-style: none; }
.keep { break-inside: avoid; }
nav { margin: 0 0 3mm; }
nav ul { list-style: none; padding: 0; columns: 3; column-gap: 6mm; }
nav li { margin-bottom: 0.5mm; }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm; font-size: 9pt; line-height: 1.3; }
caption { text-align: left; font-weight: bold; padding: 0 0 1.2mm; font-size: 9.5pt; }
th, td { border-bottom: 0.5pt solid #9a9a9a; padding: 0.9mm 1.6mm; text-align: left; vertical-align: top; }
thead th { border-bottom: 1.2pt solid #111; vertical-align: bottom; font-size: 8.5pt; }
tbody th { font-weight: bold; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; }
td.n { white-space: nowrap; }
td.bar { width: 26mm; min-width: 20mm; }
tr > :first-child { min-width: 14mm; }
.wide { width: 32%; }
table.skills td { border: 0.5pt solid #9a9a9a; font-size: 8.5pt; min-width: 15mm; }
table.skills td b { display: block; font-weight: normal; }
td.needs-help { background: #e2b06b; }
td.needs-help b { font-weight: bold !important; }
td.coming-on { background: #f8ead0; }
td.too-few { background: repeating-linear-gradient(135deg, #fff 0 5px, #ececec 5px 6px); color: #333; }
.tag { display: inline-block; border: 0.8pt solid #111; padding: 0 1.4mm; font-size: 8pt; font-weight: bold;
  line-height: 1.5; white-space: nowrap; }
.tag.act { background: #111; color: #fff; }
.tag.watch { background: #e8e8e8; }
figure { margin: 0 0 5mm; }
figcaption { margin: 0 0 1.5mm; }
figure svg { display: block; width: 100%; height: auto; }
svg text { font: 10px "Liberation Sans", sans-serif; fill: #111; }
svg .quiet { fill: #4a4a4a; font-size: 9px; }
svg .strong { font-weight: bold; }
details { margin: 0 0 3mm; }
summary { cursor: pointer; color: #1d4568; }
pre { white-space: pre-wrap; font: 8.5pt/1.3 "Liberation Mono", "DejaVu Sans Mono",
  monospace; margin: 0 0 2mm; }
.heads { list-style: none; padding: 0; columns: 5; column-gap: 3mm; font-size: 7pt; line-height: 1.22; }
.heads .id { font-size: 1em; }
.heads li { white-space: nowrap; }
.notice { border: 1.2pt solid #111; padding: 2mm 3mm; margin: 0 0 3mm; }
.methods { font-size: 8.5pt; line-height: 1.35; }
.methods .id { font-size: 1em; }
.pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 6mm; }
ul.columns { columns: 2; column-gap: 8mm; break-before: avoid; break-inside: avoid; }
td.by { min-width: 24mm; }
table.skills th, table.skills td { padding: 0.7mm 0.9mm; font-size: 7.8pt; min-width: 12mm; }
.plot { display: inline-block; vertical-align: middle; width: 100%; }
footer { border-top: 0.6pt solid #9a9a9a; margin-top: 8mm; padding-top: 2mm; padding-bottom: 6mm; }
tr, li, figure, .group, .notice, .keep { break-inside: avoid; }
thead { break-after: avoid; }
tbody tr:first-child { break-before: avoid; }
.code { white-space: nowrap; }
h1, h2, h3, h4, caption, figcaption { break-after: avoid; }
.summary .group h3 { break-after: auto; }
h2 + p:not(:last-child), h3 + p:not(:last-child) { break-after: avoid; }
p { break-inside: avoid; }
th .id { white-space: nowrap; }
thead { display: table-header-group; }
@media screen and (max-width: 640px) {
  td.bar, th.bar { display: none; min-width: 0; }
  th, td, td.n, th .id, .code { padding: 0.6mm 0.8mm; overflow-wrap: anywhere; white-space: normal; }
  td.by, table.skills th, table.skills td, tr > :first-child { min-width: 0; }
  nav ul, .heads { columns: 1; }
  .summary .group { grid-template-columns: 1fr; }
}
@media print {
  body { font-size: 9.5pt; }
  header, main, footer { max-width: none; padding-left: 0; padding-right: 0; }
  header { padding-top: 0; }
  nav, .skip, details, .screen { display: none; }
  a { color: inherit; text-decoration: none; }
  .newpage { break-before: page; }
  .invented { position: static; border: 1.6pt solid #111; margin: 0 0 3mm; }
}
"""
_INVENTED = "INVENTED DATA: no real person or workplace"
_SIZES = {"a4": "A4", "letter": "letter"}


def style(foot: str, paper: Paper | None, *, invented: bool) -> str:
    """The style sheet.

    foot: what stands at the foot of each printed page; only letters, digits and simple signs of it.
    """
    said = "".join(one for one in foot if one.isalnum() or one in " ,.:-")
    size = f"size: {_SIZES[paper]}; " if paper else ""
    boxes = f'@bottom-left {{ content: "{said}"; font: 8pt sans-serif; }} '
    boxes += '@bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; } '
    if invented:
        boxes += f'@top-center {{ content: "{_INVENTED}"; font: bold 8pt sans-serif; }} '
    return f"{STYLE}@page {{ {size}margin: 15mm 14mm 15mm; {boxes}}}\n{_strip(invented=invented)}"


def _strip(*, invented: bool) -> str:
    """A browser that knows no boxes in the margin repeats what is fixed: a strip down the left edge."""
    if not invented:
        return ".strip { display: none; }\n"
    return (
        ".strip { display: none; }\n"
        "@media print { .strip { display: block; position: fixed; left: 0; top: 0; height: 100%; width: 4mm; "
        "writing-mode: vertical-rl; text-align: center; font-size: 7pt; letter-spacing: 0.3em; "
        "color: #4a4a4a; "
        "} body { padding-left: 6mm; } }\n"
    )
