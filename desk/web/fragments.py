"""Parts of a page that renew themselves: an ETag from the event's revision answers most of them.

The tag holds the revision, the minute where times move by themselves, the plan in force and the
variant of the page. An unchanged fragment is a 304 before its view runs, from the one statement
that every request makes.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from hashlib import sha256
from typing import Any, TypeVar

from flask import current_app, make_response, request
from werkzeug.wrappers import Response

from desk.web import context

MOST_KEPT = 1000
View = TypeVar("View", bound=Callable[..., Any])


def revision_tag(*variant: object, moves: bool = True) -> str:
    """Return the ETag of what the current event looks like now in this variant."""
    head = context.head()
    minute = f"{context.event_time():%Y%m%d%H%M}" if moves else ""
    actor = context.actor()
    parts = (head.id, head.revision, head.planned_change_number, minute, request.full_path, actor, *variant)
    return sha256(repr(parts).encode()).hexdigest()[:20]


def answer(render: Callable[[], Any], *variant: object, moves: bool = True) -> Response:
    """Answer a fragment: 304 when the asker has it, else what RENDER gives with its tag."""
    tag = revision_tag(*variant, moves=moves)
    response = make_response("", 304) if tag in request.if_none_match else make_response(_rendered(tag, render))
    response.set_etag(tag)
    return response


def _rendered(tag: str, render: Callable[[], Any]) -> Any:
    return render() if context.actor() is not None else kept_for_hall(tag, render)


def kept_for_hall(key: str, make: Callable[[], Any]) -> Any:
    """Return what MAKE gives, once for each KEY: in the hall many phones ask for the same. The newest are kept.

    The key must hold all that the answer depends on, as `revision_tag` does.
    """
    kept: OrderedDict[str, Any] = current_app.extensions.setdefault("kept_for_hall", OrderedDict())
    found = kept.get(key)
    if found is None:
        found = kept[key] = make()
        while len(kept) > MOST_KEPT:
            with suppress(KeyError):
                kept.popitem(last=False)
    return found


def fragment(*, moves: bool = True) -> Callable[[View], View]:
    """Make a view of a fragment; `moves` says that it shows times that change as the clock runs."""

    def wrap(view: View) -> View:
        @wraps(view)
        def answered(**arguments: Any) -> Response:
            return answer(lambda: view(**arguments), moves=moves)

        return answered  # type: ignore[return-value]

    return wrap
