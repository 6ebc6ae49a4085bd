"""Writes a simulated shed into a folder: messages, truth, the keeper's book, a configuration."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from simulated_feeds.days import Shed
from simulated_feeds.keeper.csv_book import write_book
from simulated_feeds.records.bird_rows import bird_lists
from simulated_feeds.records.configuration import CONFIGURATION_FILE, config_toml
from simulated_feeds.records.replay_file import write_feed
from simulated_feeds.records.witness import witnessing
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.stream import messages

FEED_FILE = "feed.jsonl.gz"
BOOK_FOLDER = "book"

Progress = Callable[[datetime], None]


def record(scenario: Scenario, folder: Path, progress: Progress = lambda _at: None) -> int:
    """Write a scenario from its start to its present; returns the number of messages.

    ``feed.jsonl.gz`` is a replay file, ``truth.json`` what was really the case, ``book/`` the
    keeper's nest book as CSV files. Equal scenarios give equal bytes. The folder is made when
    missing; files of an earlier recording in it are replaced.

    Args:
        scenario: what to record.
        folder: where to.
        progress: told now and then how far in the scenario's time it is [UTC].
    """
    folder.mkdir(parents=True, exist_ok=True)
    shed = Shed(scenario)
    with witnessing(scenario, folder) as witness:
        sent = messages(
            witness.days(shed.days()),
            scenario.senders,
            seed=scenario.seed,
            happenings=scenario.happenings,
            until=scenario.origin,
        )
        count = write_feed(folder / FEED_FILE, sent, lambda at, _count: progress(at))
        witness.write(bird_lists(shed.aviary.truths(), scenario.birds, scenario.origin))
    write_book(folder / BOOK_FOLDER, shed.book())
    (folder / CONFIGURATION_FILE).write_text(config_toml(scenario), encoding="utf-8")
    return count
