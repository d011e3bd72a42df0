"""`limitcheck page`: the tasks at the instrument in a browser, for people without a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from socket import socket

    from uvicorn import Config

    from ..page.guard import Guard

ADDRESS = "127.0.0.1"
"""Of this computer alone: nothing else on the network can open it."""


def command(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Profiles to choose from, with their policies.")
    ] = ".",
    port: Annotated[
        int,
        typer.Option(
            metavar="N",
            min=0,
            max=65535,
            help="Port; default: any that is free.",
            show_default=False,
        ),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address; open nothing.")
    ] = False,
    edit: Annotated[
        bool, typer.Option("--edit", help="Profiles of FOLDER may be made and changed on the page.")
    ] = False,
    read_only: Annotated[
        bool,
        typer.Option("--read-only", help="Nothing can be changed here; refused beside --edit."),
    ] = False,
) -> int:
    """Serve the page at the instrument to this computer, until Ctrl-C.

    It reads the profiles of FOLDER and writes nothing, unless --edit lets it make
    and change them: each change is shown before it is written. The address it
    prints holds a secret: other users of this computer can't open the page without
    it. If your browser does not find that address, write 127.0.0.1 in place of the
    name; the secret is then also sent to any other server that you open in the
    same browser at 127.0.0.1, so open none. Use --read-only where several people
    share one login. Exit code: 0 ended, 2 an argument that cannot be used.

    \b
    Example: limitcheck page profiles/
    Example: limitcheck page --edit profiles/
    """
    import os
    from contextlib import suppress
    from pathlib import Path
    from tempfile import TemporaryDirectory

    from ..errors import Refused
    from .streams import emit

    if edit and read_only:
        raise Refused(
            "--edit and --read-only contradict each other",
            "leave out --read-only to change profiles on the page, or --edit to let nobody",
        )
    if not os.path.isdir(folder):
        raise Refused(f"{folder} is not a folder", "name the folder that holds the profiles")
    try:
        import python_multipart  # noqa: F401  # starlette asks for it only when a file is dropped
        import uvicorn

        from ..page.app import create_app
        from ..page.saving import Writing
        from ..page.secret import Secret
    except ImportError as error:
        if (error.name or "").startswith("limitcheck"):
            raise
        raise Refused(
            f"the page needs {error.name}, which is not installed", "pip install 'limitcheck[page]'"
        ) from None
    writing = Writing.EDIT if edit else Writing.READ_ONLY if read_only else Writing.OFF
    listening, secret = _listen(port), Secret()
    address = secret.address(listening.getsockname()[1])
    emit(f"The page is at {address}\nCtrl-C ends it.\n")
    with TemporaryDirectory(prefix="limitcheck-") as private:
        if not no_browser:
            _open(secret.write(Path(private), address).as_uri())
        with suppress(KeyboardInterrupt):  # uvicorn shuts down in good order, then passes it on
            app = create_app(folder, secret, writing=writing)
            server = uvicorn.Server(configuration(app))
            server.run(sockets=[listening])
    emit("ended\n")
    return 0


def configuration(app: Guard) -> Config:
    """How the page is served: quietly, nothing believed that a proxy might add."""
    from uvicorn import Config

    return Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        lifespan="off",
        ws="none",
        proxy_headers=False,
        timeout_graceful_shutdown=2,
    )


def _listen(port: int) -> socket:
    """A socket of this computer alone; raises Refused where the port is taken."""
    import os
    import socket

    from ..errors import Refused

    # With the protocol named, asyncio sends small pieces at once; else each answer waits 40 ms.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if os.name == "posix":  # else the port stays taken for a while after the page has ended
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((ADDRESS, port))
    except OSError as error:
        listening.close()
        raise Refused(
            f"port {port} cannot be used: {error.strerror}", "leave --port out, or name another"
        ) from None
    listening.listen(1024)
    return listening


def _open(address: str) -> None:
    """Open the browser beside the server: some browsers keep their caller waiting.

    `address` is that of a private file: other users see how a program was started.
    """
    import threading
    import webbrowser

    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
