"""What stands under a key of the data of some kinds of events, each text once: which meters, which lots."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.record.failures import in_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.record.store import Store


def values_of(store: Store, key: str, kinds: Iterable[str]) -> tuple[str, ...]:
    """Every text under a key, in alphabetical order; an empty one is left out."""
    names = list(kinds)
    query = (
        f"SELECT DISTINCT json_extract(data, '$.' || ?) AS value FROM event "
        f"WHERE kind IN ({', '.join('?' * len(names))}) AND value <> '' ORDER BY value"
    )
    with in_words(store.path):
        return tuple(str(row[0]) for row in store.connection.execute(query, [key, *names]))
