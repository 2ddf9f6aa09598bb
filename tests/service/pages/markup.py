"""A page as a tree, refused where it nests wrongly."""

from collections.abc import Iterator
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr"}
# What may stand directly in these, by the HTML standard (html.spec.whatwg.org, "Content model").
CHILDREN = {
    "html": {"head", "body"},
    "table": {"caption", "colgroup", "thead", "tbody", "tfoot"},
    "thead": {"tr"},
    "tbody": {"tr"},
    "tr": {"th", "td"},
    "ul": {"li"},
    "dl": {"dt", "dd"},
}
BLOCKS = {
    *("address", "article", "aside", "blockquote", "div", "dl", "figure", "footer", "form", "h1"),
    *("h2", "h3", "h4", "header", "hr", "main", "nav", "ol", "p", "pre", "section", "table", "ul"),
}
PHRASES = {"p", "h1", "h2", "h3", "span", "code", "bdi", "strong", "a", "time"}
"""Elements that hold no blocks."""


class Node:
    """An element with what stands in it."""

    def __init__(self, tag: str, attributes: dict[str, str]) -> None:
        self.tag = tag
        self.attributes = attributes
        self.content: list[Node | str] = []

    @property
    def text(self) -> str:
        """All its text, white space drawn together."""
        return " ".join("".join(self.pieces()).split())

    @property
    def classes(self) -> set[str]:
        """Its classes."""
        return set(self.attributes.get("class", "").split())

    def pieces(self) -> Iterator[str]:
        """Every piece of text in it, in order; blocks and cells stand apart."""
        for each in self.content:
            if isinstance(each, str):
                yield each
            else:
                apart = (
                    " " if each.tag in {*BLOCKS, "td", "th", "li", "dt", "dd", "caption"} else ""
                )
                yield apart
                yield from each.pieces()
                yield apart

    def all(self, *tags: str) -> list["Node"]:
        """Every element of these tags in it, in order; every element where none is named."""
        found = []
        for each in self.content:
            if isinstance(each, Node):
                if not tags or each.tag in tags:
                    found.append(each)
                found += each.all(*tags)
        return found

    def one(self, tag: str) -> "Node":
        """The only element of a tag in it."""
        (found,) = self.all(tag)
        return found

    def of_class(self, name: str) -> list["Node"]:
        """Every element of a class in it, in order."""
        return [node for node in self.all() if name in node.classes]

    def part(self, heading: str) -> "Node":
        """The section under the heading of this id."""
        (found,) = [n for n in self.all("section") if n.attributes["aria-labelledby"] == heading]
        return found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Node("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names), f"<{tag}> names an attribute twice"
        parent = self.open[-1]
        where = f"<{tag}> in <{parent.tag}> at line {self.getpos()[0]}"
        assert tag in CHILDREN.get(parent.tag, {tag}), where
        assert not (tag in BLOCKS and any(n.tag in PHRASES for n in self.open)), where
        assert not (tag == "a" and any(n.tag == "a" for n in self.open)), where
        node = Node(tag, {name: value or "" for name, value in attrs})
        parent.content.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].tag == tag, f"</{tag}> ends <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        parent = self.open[-1]
        assert not (parent.tag in CHILDREN and data.strip()), f"text in <{parent.tag}>: {data}"
        parent.content.append(data)


def parsed(page: bytes) -> Node:
    """Tree of a page; fails where an element is not closed, or stands where it must not."""
    text = page.decode("utf-8")
    assert text.startswith("<!doctype html>\n")
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == [reader.root], f"<{reader.open[-1].tag}> is not closed"
    return reader.root
