"""Documents for property tests: sections as a file and as pages would write them."""

from hypothesis import strategies as st

NAMES = st.sampled_from([f"n{number}" for number in range(6)])
VALUES = st.one_of(st.integers(0, 9), st.sampled_from(["a", "b"]), st.booleans())

_KEYS = {
    "place": "id",
    "feed": "topic",
    "sensor": "device",
    "limit": "id",
    "ignored": "device",
}


def _entries(key: str) -> st.SearchStrategy[list[dict[str, object]]]:
    return st.dictionaries(NAMES, VALUES, max_size=5).map(
        lambda named: [{key: name, "told": value} for name, value in named.items()]
    )


def _table(*keys: str) -> st.SearchStrategy[dict[str, object]]:
    return st.dictionaries(st.sampled_from(keys), VALUES)


SECTIONS: dict[str, st.SearchStrategy[object]] = {
    **{section: _entries(key) for section, key in _KEYS.items()},
    "shed": _table("name", "timezone", "latitude"),
    "light": _table("on", "off", "dim"),
    "broker": _table("url", "username"),
    "pages": _table("bind", "names", "port"),
    "store": _table("readings", "records"),
}

DOCUMENTS: st.SearchStrategy[dict[str, object]] = st.fixed_dictionaries({}, optional=SECTIONS)
