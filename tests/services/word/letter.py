"""A letter to a player, in German, as the sender would send it."""

from desk.queries.word.letters import Letter

LETTER = Letter(
    token="letter-1",
    kind="phone",
    address="",
    public_key="",
    auth_secret="",
    language="de",
    event="Testfield Open",
    title="2 Schläger sind fertig",
    lines=("Schläger 1 (K4T2) und 2 (K4T9): fertig zum Abholen.",),
    place="Bespannservice: Halle 2",
    page="/p/token-1?lang=de",
    stop="/word/stop/x?lang=de",
    stop_words="Nichts mehr mitteilen",
)
