"""Writes a simulated shed into a folder: its messages, the truth, a fitting configuration."""

import gzip
import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from simulated_feeds.configuration import config_toml
from simulated_feeds.feed import messages
from simulated_feeds.scenario import Scenario
from simulated_feeds.shed import Truth, truths
from simulated_feeds.truth_report import report

FEED_FILE = "feed.jsonl.gz"
TRUTH_FILE = "truth.json"
CONFIGURATION_FILE = "clutchweather.toml"


def record(scenario: Scenario, since: datetime, until: datetime, folder: Path) -> int:
    """Write the feed with ``since <= t < until`` [UTC]; returns its number of messages.

    ``feed.jsonl.gz`` is a replay file, one message a line; equal scenarios give equal bytes.
    The folder is made when missing; files of an earlier recording in it are replaced.
    """
    folder.mkdir(parents=True, exist_ok=True)
    count = 0
    # A file name or a time in the gzip header would make equal feeds differ.
    with (folder / FEED_FILE).open("wb") as file, gzip.GzipFile("", "wb", 6, file, mtime=0) as out:
        for at, topic, payload in messages(scenario, since, until):
            line = {
                "t": at.isoformat().replace("+00:00", "Z"),
                "topic": topic,
                "payload": payload.decode(),
            }
            out.write(json.dumps(line, ensure_ascii=False).encode() + b"\n")
            count += 1
    found = report(scenario, _between(scenario, since, until))
    (folder / TRUTH_FILE).write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    (folder / CONFIGURATION_FILE).write_text(config_toml(scenario), encoding="utf-8")
    return count


def _between(scenario: Scenario, since: datetime, until: datetime) -> Iterator[Truth]:
    for truth in truths(scenario):
        if truth.at >= until:
            return
        if truth.at >= since:
            yield truth
