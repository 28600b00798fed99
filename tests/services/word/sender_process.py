"""A sender in a process of its own that speaks to a test server: `python -m tests.services.word.sender_process`.

DATABASE-URL, KIND and PORT, then the file of the certificate. With WAIT as the kind it marks a message and then waits
for ever instead of sending it: there it is killed.
"""

import sys
import time
from datetime import datetime
from pathlib import Path

from desk.models.database import Database
from desk.queries.word.letters import Letter
from desk.sender import Sender
from desk.services.word.mail import MailDoor, MailServer
from desk.services.word.sending import Outcome
from desk.services.word.vapid_key import kept_vapid
from desk.services.word.web_push import PushDoor
from tests.services.word.servers import Certificate


def main(url: str, kind: str, port: str, certificate: str) -> None:
    database, tls = Database(url), Certificate(Path(certificate)).trusted()
    server = MailServer(
        host="localhost",
        port=int(port),
        tls="starttls",
        user="",
        sender="desk@example.org",
        public_url="https://desk.example.org",
    )
    push = PushDoor(
        kept_vapid(database),
        "mailto:desk@example.org",
        resolve=lambda _host, _port: ["127.0.0.1"],
        may_go_to=lambda ip: ip == "127.0.0.1",
        fault=lambda _address: "",
        tls=tls,
    )

    def send(letter: Letter, at: datetime) -> Outcome:
        if kind == "WAIT":
            time.sleep(600)
        return push.send(letter) if letter.kind == "phone" else MailDoor(server, "", tls=tls).send(letter, at)

    print("begun", flush=True)
    Sender(database, send, lease_seconds=5.0).run()


if __name__ == "__main__":
    main(*sys.argv[1:5])
