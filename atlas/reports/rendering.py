"""Templates to HTML, Markdown and PDF; text from people is shown, never obeyed."""

import re
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from atlas.calculators.declare import figures
from atlas.catalogue.model import SETTLED_BY
from atlas.catalogue.visible import sentence, visible
from atlas.errors import BadInput
from atlas.identify.chances import told

if TYPE_CHECKING:
    from jinja2 import Environment

FORMS = ("html", "md", "pdf")
# Signs that Markdown would read as markup.
_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~$])")
# What would begin a list, or make a heading of the line above.
_BLANKS = re.compile(r"\s+")
_LINE_START = re.compile(r"^(\d{0,9})([-+=.)])(?=\s|$|[-=]+$)")


def render(name: str, form: str, **values: Any) -> bytes:
    """Fill the template ``name`` for one of ``FORMS``.

    Raises:
        BadInput: an unknown form, or PDF without the library that writes it.
    """
    known(form)
    if form == "pdf":
        return _pdf(render(name, "html", **values).decode())
    text = _environment(form).get_template(f"{name}.{form}.j2").render(**values)
    if form == "md":
        text = re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
    return text.encode("utf-8", "replace")


def known(form: str) -> None:
    """Refuse a form that there is not, before anything is computed for it.

    Raises:
        BadInput: the message names those there are.
    """
    if form not in FORMS:
        raise BadInput(f"no form {form!r}", "--format", f"choose {', '.join(FORMS)}")


def _as_words(text: str) -> str:
    """The text as Markdown that is read as nothing but words, wherever in a line it stands."""
    words = _MARKDOWN.sub(r"\\\1", _BLANKS.sub(" ", text))  # a tab in front would make it code
    return _LINE_START.sub(r"\1\\\2", words)


def _pdf(html: str) -> bytes:
    try:
        from weasyprint import HTML
    except (ImportError, OSError):
        raise BadInput(
            "PDF needs an extra package",
            "--format",
            "pip install 'atlas-teardown[pdf]', or use html",
        ) from None
    content: bytes = HTML(string=html).write_pdf()
    return content


@lru_cache(maxsize=2)
def _environment(form: str) -> "Environment":
    from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound
    from markupsafe import Markup

    class Shipped(BaseLoader):
        def get_source(self, environment: Environment, template: str) -> tuple[str, str, Any]:
            path = files("atlas.reports") / "templates" / template
            if not path.is_file():
                raise TemplateNotFound(template)
            return path.read_text(encoding="utf-8"), str(path), lambda: True

    def shown(value: object) -> str:
        if isinstance(value, Markup):
            return value
        text = visible(str(value))
        return text if form == "html" else _as_words(text)

    environment = Environment(
        loader=Shipped(),
        autoescape=form == "html",
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shown,
    )
    environment.filters["figures"] = lambda value: figures(float(value), 4)
    environment.filters["sentence"] = sentence
    environment.filters["percent"] = told
    environment.filters["settled_by"] = lambda how: SETTLED_BY.get(how, how)
    environment.filters["drawing"] = Markup  # of our own drawing only
    environment.filters["raw"] = Markup
    return environment
