"""Commands that can be copied from the help page."""

from pathlib import Path

from dashboards.views.help_commands import help_commands


def test_the_installed_service_s_data_are_changed_in_its_name() -> None:
    commands = help_commands(Path("/var/lib/clutchweather"))
    assert commands.installed
    assert commands.keeper == (
        "sudo -u clutchweather /opt/clutchweather/current/service/start "
        "keeper NAME --data /var/lib/clutchweather"
    )
    assert commands.restore.startswith("sudo ./service/start restore FILE")


def test_a_folder_with_a_space_is_one_word_to_the_shell() -> None:
    commands = help_commands(Path("/home/robin/my shed"))
    assert commands.doctor == "./service/start doctor --data '/home/robin/my shed'"
