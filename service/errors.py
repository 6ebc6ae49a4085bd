"""The errors that the service tells apart.

Drawn whole; a leaf without a file beside it is defined here.

ClutchweatherError                      devices/errors.py
    DecodeError (ValueError)            devices/errors.py: one payload can't be read
    UnitError (ValueError)              devices/units.py: a value is not of its quantity
    StoreUnavailableError               a store can't be read or written now; try again
        UnreadableSettingsError         service/store/kept_settings.py: what is kept is damaged
    ChangedMeanwhileError               service/store/nest_book.py: read the nest anew
    NewerRecordsError                   service/store/sql_schema.py: a newer version wrote them
    BrokenRecordsError                  service/store/sql_schema.py: they contradict themselves
    BrokerRefusedError                  the broker answers, and says no
        VersionRefusedError             service/intake/mqtt_connection.py: not this MQTT
    BrokerDidNotStartError              service/intake/mosquitto_process.py
    CertificateNotMadeError             service/machine/openssl_certificates.py
    OrderFailedError                    service/machine/systemd_control.py: systemctl said no
    VenvNotMadeError                    service/machine/systemd_control.py
    DidNotComeUpError                   service/commands/updating.py: a version does not run
    PagesCannotServeError               service/commands/serving.py: the address is taken
    CannotServeError                    dashboards/serving.py: one address of the pages
    AlreadyRunningError                 another copy holds the data folder
    ConfigurationError (ValueError)     the configuration file has faults; all are told
    InputError (ValueError)             a file or an argument is wrong; says where and what
        SetInFileError                  service/settings/editing.py: the file states it
        PedigreeLoopError               service/nests/kinship.py: a bird its own forebear
        FaultyBirdError                 service/store/faulty_bird.py: told of a bird, and can't be
        DamagedBackupError              service/backup/errors.py: no whole backup of ours
        NewerBackupError                service/backup/errors.py: a newer version made it
        BookFaultsError                 service/book/errors.py: rows of its files are at fault
        OtherBookError                  service/book/errors.py: the records hold another book
    BackupNotMadeError                  service/backup/errors.py: the earlier ones are as they were
    NoRoomError                         service/backup/errors.py: a disk has too little room
    RestoreUnfinishedError              service/backup/errors.py: start again, or restore again
    UnreadableOutlookError (ValueError) service/climate/outlook/outlook_json.py: to be made anew
    NotInThisVersionError               asked for, understood, not built yet
    NotKnownError (LookupError)         no such box, bird, alarm
    StoryQuestionedError                service/commands/telling_the_story.py: the demo only
    UnknownScenarioError (LookupError)  simulated_feeds/scenario_files/reading.py
    ScenarioFaultsError (ValueError)    simulated_feeds/scenario_files/reading.py
    ImpossibleParameterError (ValueError) simulated_feeds/impossible.py

``_RefusedError`` in devices/formats/senml.py never leaves its file.
"""

from collections.abc import Sequence

from devices.errors import ClutchweatherError


class StoreUnavailableError(ClutchweatherError):
    """Nothing was changed; the caller keeps what it has and tries again."""


class BrokerRefusedError(ClutchweatherError):
    """The broker refused a connection or a subscription."""


class AlreadyRunningError(ClutchweatherError):
    """Another copy is at work in the same data folder."""


class ConfigurationError(ClutchweatherError, ValueError):
    """The configuration has faults, each a line of its own in ``faults``."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


class InputError(ClutchweatherError, ValueError):
    """Something that was typed or handed in is wrong."""


class NotInThisVersionError(ClutchweatherError):
    """The word is known; what it asks for is not built yet."""


class NotKnownError(ClutchweatherError, LookupError):
    """Nothing here bears that name."""
