"""The forms that stand in a page, as a browser would send them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass(kw_only=True)
class PageForm:
    """``fields`` are what is sent when nothing is touched; ``unticked`` could be ticked."""

    action: str
    posts: bool
    css: str
    fields: dict[str, str] = field(default_factory=dict)
    unticked: dict[str, str] = field(default_factory=dict)


def forms_in(html: str) -> list[PageForm]:
    """All of them, in their order."""
    reader = _Reader()
    reader.feed(html)
    return reader.found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[PageForm] = []
        self._form: PageForm | None = None
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            posts = told.get("method", "get").lower() == "post"
            css = told.get("class", "")
            self._form = PageForm(action=told.get("action", ""), posts=posts, css=css)
            self.found.append(self._form)
        elif self._form is not None:
            self._field(self._form, tag, told)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None

    def _field(self, form: PageForm, tag: str, told: dict[str, str]) -> None:
        name, value = told.get("name", ""), told.get("value", "")
        if tag == "select":
            self._select = name
        elif tag == "option" and ("selected" in told or self._select not in form.fields):
            form.fields[self._select] = value
        elif not name or tag not in {"input", "textarea", "button"}:
            return
        elif tag == "button" or (
            told.get("type") in {"checkbox", "radio"} and "checked" not in told
        ):
            form.unticked.setdefault(name, value)
        else:
            form.fields[name] = value
