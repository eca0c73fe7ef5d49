"""A note as one sober page: no network, no script, all text escaped; prints as it stands."""

from __future__ import annotations

from html import escape

from otochron.writers.note.document import Document, Line, Run, Section

_STYLE = """
:root { color-scheme: light dark; }
body {
  font: 1rem/1.5 Georgia, 'Times New Roman', serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem;
  color: #1a1a1a; background: #fff;
}
h1 { font-size: 1.5rem; line-height: 1.25; }
h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #767676; }
.draft { border: 2px solid #8a1c1c; color: #8a1c1c; padding: .6rem .8rem; font-weight: bold; }
.facts, .remark { color: #4a4a4a; }
.facts p { margin: 0; }
.remark { font-style: italic; margin: .3rem 0; }
ul, ol { padding-left: 1.6rem; margin: .3rem 0; }
li { margin: .2rem 0; }
.boxes { list-style: none; padding-left: .2rem; }
.boxes li::before { content: "\\2610\\00a0"; }
q { quotes: none; font-style: italic; }
.signature { margin-top: 2.5rem; }
@media (prefers-color-scheme: dark) {
  body { color: #e8e8e8; background: #161616; }
  .facts, .remark { color: #b8b8b8; }
  .draft { border-color: #ff9a8f; color: #ff9a8f; }
}
@media print {
  body { margin: 0; max-width: none; color: #000; background: #fff; }
  .draft { color: #000; border-color: #000; }
  li { break-inside: avoid; }
  h2 { break-after: avoid; }
}
""".strip()
_CSP = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def as_html(note: Document) -> str:
    """Give the note as one self-contained page."""
    banner = f'<p class="draft" role="note">{escape(note.banner)}</p>\n' if note.banner else ""
    facts = "\n".join(f"<p>{escape(fact)}</p>" for fact in note.facts)
    body = "\n".join(_section(section) for section in note.sections)
    return (
        f'<!doctype html>\n<html lang="{note.lang}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_CSP}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(note.title)}</title>\n<style>\n{_STYLE}\n</style>\n</head>\n<body>\n<main>\n"
        f'<h1>{escape(note.title)}</h1>\n{banner}<div class="facts">\n{facts}\n</div>\n{body}\n'
        f'<p class="signature">{escape(note.signature)}</p>\n</main>\n</body>\n</html>\n'
    )


def _section(section: Section) -> str:
    remark = f'<p class="remark">{escape(section.remark)}</p>\n' if section.remark else ""
    if not section.lines:
        return f"<section>\n<h2>{escape(section.title)}</h2>\n{remark}</section>"
    tag = "ol" if section.form == "numbered" else "ul"
    kind = ' class="boxes"' if section.form == "boxes" else ""
    lines = "\n".join(f"<li>{_line(line)}</li>" for line in section.lines)
    return f"<section>\n<h2>{escape(section.title)}</h2>\n{remark}<{tag}{kind}>\n{lines}\n</{tag}>\n</section>"


def _line(line: Line) -> str:
    lead = f"<strong>{escape(line.lead)}</strong> " if line.lead else ""
    return lead + "".join(_run(run) for run in line.runs())


def _run(run: Run) -> str:
    return f'<q lang="{run.quote}">{escape(run.text)}</q>' if run.quote else escape(run.text)
