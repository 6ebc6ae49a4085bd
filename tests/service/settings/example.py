"""A configuration with one of each table, as it is promised to load."""

EXAMPLE = """\
[shed]
id = "hazel"
name = "Hazel shed"
latitude = 53.2
longitude = 6.6
timezone = "Europe/Amsterdam"

[broker]
url = "mqtt://127.0.0.1:1883"          # mqtts:// for TLS; username, password_file, ca_file optional

[[place]]
id = "shed"
kind = "shed"
[[place]]
id = "outdoors"
kind = "outdoors"
[[place]]
id = "cage-1"
kind = "cage"
in = "shed"
[[place]]
id = "box-1"
kind = "box"
in = "cage-1"

[[feed]]
topic = "clutchweather/+/senml"
format = "senml"

[[feed]]
topic = "gateway/+"
format = "json"
device = { level = 2 }                  # topic level counted from 1, or { pointer = "/id" }, or { name = "x" }
fields = [
  { pointer = "/temperature", quantity = "temperature", unit = "Cel" },
  { pointer = "/humidity", quantity = "relative_humidity", unit = "%RH" },
]

[[feed]]
topic = "plain/lamp"
format = "number"
device = { name = "lamp-eye" }
quantity = "illuminance"
unit = "lx"

[[sensor]]
device = "th-shed"
place = "shed"
interval = "60 s"                       # overdue after 3 intervals unless overdue_after says otherwise
measures = { humidity = "relative_humidity", light = "illuminance" }   # only where the sender's name is not the quantity's own
[[sensor]]
device = "lamp-eye"
place = "shed"
interval = "60 s"
[[sensor]]
device = "scale-1"
place = "box-1"
interval = "10 s"
measures = { w = "mass" }

[light]
on = "06:30"                            # lamps begin to brighten; full after dim
off = "20:30"                           # lamps dark; dimming began dim earlier
dim = "30 min"
threshold_lx = 20                       # darker than this for 10 min is night

[[limit]]
id = "cold-night"
place = "shed"
quantity = "temperature"
when = "night"                          # "always", "day", "night"
low = 5.0                               # or high = …
deadband = 0.5
on_delay = "10 min"
off_delay = "15 min"
priority = "high"                       # low, medium, high

[notices]
urls_file = "notices.txt"               # one Apprise URL a line
quiet = ["22:00", "07:00"]

[store]
readings = "sqlite:///readings.db"      # relative to the data folder
mirror = "influx+http://127.0.0.1:8086/clutchweather"   # optional
records = "sqlite:///records.db"        # or postgresql+psycopg://…
keep_raw = "400 d"

[pages]
bind = "127.0.0.1"
port = 8460
"""  # noqa: E501 - it stands here as it is promised
