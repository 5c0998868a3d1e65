"""`lanewater demo`: an invented town's baths with ninety days of history, to look around in."""

from __future__ import annotations

import argparse
import http.client
import os
import shutil
import sys

from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.clock import system_clock
from lanewater.service.config import HOST, PORT, Config, load_config
from lanewater.service.demonstration import Demo, demo_config, make_demo

SECONDS_TO_ANSWER = 2


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.description = (
        "Makes the demo in a folder of its own inside the data folder, if it is not there, says how"
        " to sign in, and serves it."
    )
    parser.add_argument("--no-serve", action="store_true", help="make it and stop")
    parser.add_argument("--fresh", action="store_true", help="throw the old demo away first")
    parser.add_argument("--port", metavar="N", help=f"default: {PORT}; 0 takes any free one")


def run(arguments: argparse.Namespace) -> int:
    """Make the demo if it is not there, say how to sign in, and serve it."""
    config = load_config(arguments.data, os.environ, host=HOST, port=arguments.port)
    running = not arguments.no_serve and config.port != 0 and answers(config)
    if arguments.fresh and not running:
        shutil.rmtree(demo_config(config).data, ignore_errors=True)
    if not demo_config(config).store.is_file():
        sys.stderr.write("Making the demo site, ninety days of history ...\n")
    demo = make_demo(config, system_clock)
    tell(demo, as_json=arguments.json)
    if arguments.no_serve:
        return 0
    if running:
        sys.stderr.write(f"A Lanewater server already answers at http://{HOST}:{config.port}\n")
        return 0
    # The server and all that it needs is wanted only when it is started.
    from lanewater.interfaces.serving import serve  # noqa: PLC0415

    return serve(demo.config)


def tell(demo: Demo, *, as_json: bool) -> None:
    """Say where the demo is and how to sign in."""
    address = f"http://{HOST}:{demo.config.port or PORT}/#key={demo.first_key}"
    if as_json:
        write_answer(
            {
                "data": str(demo.config.data),
                "made": demo.made,
                "address": address,
                "first_key": demo.first_key,
                "people": list(demo.people),
            }
        )
        return
    write = sys.stdout.write
    write("DEMO, not your pool: an invented town's baths.\n\n")
    write(f"Open   {address}\n")
    write(f"       (first key, if the page asks for it: {demo.first_key})\n")
    write(f"Data   {demo.config.data}   (for other commands: --data with this folder)\n\n")
    write("Sign in with initials and PIN:\n")
    for person in demo.people:
        write(f"  {person['initials']}  {person['pin']}  {person['name']}, {person['roles']}\n")
    write("\n")
    sys.stdout.flush()


def answers(config: Config) -> bool:
    """Tell whether a server of ours already answers at the port."""
    connection = http.client.HTTPConnection(HOST, config.port, timeout=SECONDS_TO_ANSWER)
    try:
        connection.request("GET", "/healthz")
        response = connection.getresponse()
        return response.status == http.HTTPStatus.OK and b"recording" in response.read(1000)
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()
