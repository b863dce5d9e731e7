"""Structured logs without personal data."""

import json
import logging
from datetime import UTC, datetime

# Of a request only the method, the pattern of its address and the status are kept: no names, addresses or contents.
KEPT = ("status_code",)


class JsonFormatter(logging.Formatter):
    """One JSON object a line: time, level, logger, message, and for a request its method, route and status."""

    def format(self, record: logging.LogRecord) -> str:
        """The record as JSON. The arguments of a request's message hold its path, which may name a person: left out."""
        request = getattr(record, "request", None)
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": _message(record),
        }
        if request is not None:
            match = getattr(request, "resolver_match", None)
            line["method"] = getattr(request, "method", "")
            line["route"] = match.route if match else ""
        line |= {name: getattr(record, name) for name in KEPT if hasattr(record, name)}
        if record.exc_info and record.exc_info[1] is not None:
            line["error"] = type(record.exc_info[1]).__name__
            line["where"] = _where(record)
        return json.dumps(line)


def _message(record: logging.LogRecord) -> str:
    """What happened. Messages of requests and of security errors quote what the visitor sent: of them only the kind is kept."""
    if record.name.startswith("django.security"):
        return record.name.rsplit(".", 1)[-1]
    if getattr(record, "request", None) is not None:
        return str(record.msg)
    return record.getMessage()


def _where(record: logging.LogRecord) -> list[str]:
    """File and line of each step of the traceback, without values."""
    steps = []
    trace = record.exc_info[2] if record.exc_info else None
    while trace is not None:
        steps.append(f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}")
        trace = trace.tb_next
    return steps[-12:]
