"""Work done once as long as not a letter of what it rests on changes: a page, its drawings and a
comparison ask for the same, and whoever asks while it is being done waits for that one.
"""

from __future__ import annotations

import hashlib
import inspect
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from contextvars import ContextVar, copy_context
from dataclasses import fields, is_dataclass
from functools import wraps
from threading import Lock, Thread
from typing import Any, ParamSpec, TypeVar

from pydantic import BaseModel

P = ParamSpec("P")
T = TypeVar("T")


# when who asks would rather be told that it is still being worked out; None: waits for it
_until: ContextVar[float | None] = ContextVar("until", default=None)


class NotYet(Exception):
    """It is being worked out, and goes on being so; who asks again later finds it done."""


def wait_for(seconds: float | None) -> None:
    """From now on, what takes longer raises NotYet in this context; None: it is waited for."""
    _until.set(None if seconds is None else time.monotonic() + seconds)


def content_key(value: Any) -> str:
    """A short text that differs as soon as the content of an unchanging value does."""
    written = hashlib.sha256()
    _write(value, written.update)
    return written.hexdigest()


def _write(value: Any, put: Callable[[bytes], None]) -> None:
    if isinstance(value, BaseModel):
        put(b"{" + value.model_dump_json().encode())
    elif is_dataclass(value):
        for field in fields(value):
            _write(getattr(value, field.name), put)
    elif isinstance(value, (tuple, list)):
        put(b"[%d" % len(value))
        for part in value:
            _write(part, put)
    else:
        put(repr(value).encode() + b"\0")


def once(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the answers to the last `most` questions, however a call writes its arguments. What is
    worked out must rest on its arguments alone: it may be done in a thread of its own, in the
    context of who asks first.
    """

    def wrap(work_out: Callable[P, T]) -> Callable[P, T]:
        signature = inspect.signature(work_out)
        answers: OrderedDict[str, Future[T]] = OrderedDict()
        lock = Lock()

        def fill(answer: Future[T], key: str, given: inspect.BoundArguments) -> None:
            _until.set(None)
            try:
                answer.set_result(work_out(*given.args, **given.kwargs))
            except BaseException as error:  # noqa: BLE001  # whoever waits raises it
                with lock:
                    answers.pop(key, None)
                answer.set_exception(error)

        @wraps(work_out)
        def ask(*args: P.args, **kwargs: P.kwargs) -> T:
            given = signature.bind(*args, **kwargs)
            given.apply_defaults()
            key, until = content_key(tuple(given.arguments.values())), _until.get()
            with lock:
                is_new = key not in answers
                answer = answers.setdefault(key, Future())
                answers.move_to_end(key)
                while len(answers) > most:
                    answers.popitem(last=False)
            if is_new and until is None:
                fill(answer, key, given)
            elif is_new:
                Thread(
                    target=copy_context().run, args=(fill, answer, key, given), daemon=True
                ).start()
            if until is None:
                return answer.result()
            try:
                return answer.result(max(0.0, until - time.monotonic()))
            except TimeoutError:
                if answer.done():
                    return answer.result()
                raise NotYet from None

        return ask

    return wrap
