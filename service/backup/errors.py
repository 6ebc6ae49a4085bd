"""What can go wrong with a backup, told apart by what the person does next.

BackupNotMadeError      the data can't be copied whole, or the copy is not as it should be
NoRoomError             a disk has too little room; nothing was left behind
DamagedBackupError      (InputError) this file is no whole backup of ours
NewerBackupError        (InputError) a newer version made it
RestoreUnfinishedError  a restore was cut short and can't be finished now
"""

from devices.errors import ClutchweatherError
from service.errors import InputError


class BackupNotMadeError(ClutchweatherError):
    """No backup was made; the earlier ones are as they were."""


class NoRoomError(ClutchweatherError):
    """There is too little room on a disk for what was asked."""


class DamagedBackupError(InputError):
    """The file is not a backup, or no longer a whole one. Nothing was changed."""


class NewerBackupError(InputError):
    """The backup was made by a newer version. Nothing was changed."""


class RestoreUnfinishedError(ClutchweatherError):
    """A restore was cut short; the data folder is between the old and the new."""
