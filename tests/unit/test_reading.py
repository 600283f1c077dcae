"""Is the right number read from what people and readers send, and nothing else?"""

import pytest
from keyboards import ARRIVALS
from lotroot.errors import Unreadable
from lotroot.identity import Badge, Command, ItemNumber, Read, find, make, read
from lotroot.identity.checks import pair_for

LOT = make("R", 26, 123)
ITEM = ItemNumber(LOT, 17)
BADGE = Badge("40718263950172")


@pytest.mark.parametrize(
    "text",
    [
        "R2600012383",
        "r2600012383",
        "R26-000123-83",
        "r26 000123 83",
        "R26.000123.83",
        "R26\u2009000123\u202f83",
        "R26–000123—83",
        "R26ß000123ß83",
        "R26½000123½83",
        "R26=000123=83",
        "  R2600012383  ",
        "R2600012383\n",
        "R2600012383\r",
        "R2600012383\r\n",
        "\r\nR2600012383\r\n",
        "R2600012383\t",
        "\x1dR2600012383\x00",
        "\ufeffR2600012383",
        "]C0R2600012383",
        "]c0r2600012383\r\n",
        "]Q1R2600012383",
        "]d1R2600012383",
        "+C0R2600012383",
        "$C0R2600012383",
        "R26OOOI2383",
        "R26000l2383",
        "R26000L2383",
        "https://HOST/t/R2600012383",
        "https://host/t/R2600012383/",
        "HTTPS://HOST/T/R2600012383\r\n",
        "http://192.168.4.20:8470/t/r2600012383",
        "https://plant.example/lotroot/t/R2600012383",
        "]Q1https://host/t/R2600012383",
        "httpsÖ--host-t-R2600012383",
        "HTTPSÖ--my-host.example-T-R2600012383",
    ],
)
def test_a_lot_is_read_however_it_arrives(text: str) -> None:
    assert read(text) == Read(LOT)


@pytest.mark.parametrize("arrival", ARRIVALS)
@pytest.mark.parametrize(
    "frame", ["{}", "]C0{}\r\n", "{}\t", "https://host.example/t/{}", "HTTPS://HOST/T/{}\r\n"]
)
@pytest.mark.parametrize(
    ("sent", "meant"),
    [
        (str(LOT), Read(LOT)),
        (str(ITEM), Read(ITEM)),
        (f"{LOT}K2", Read(LOT, 2)),
        (f"{ITEM}K17", Read(ITEM, 17)),
        (str(BADGE), Read(BADGE)),
        (Command.PRINT_AGAIN.code, Read(Command.PRINT_AGAIN)),
    ],
    ids=["lot", "item", "lot copy", "item copy", "badge", "command"],
)
def test_every_layout_and_frame_gives_the_same_read(sent: str, meant: Read, frame: str, arrival: str) -> None:
    assert read(ARRIVALS[arrival](frame.format(sent))) == meant


def test_the_layout_tables_hold_what_readers_reported() -> None:
    # HA112 arrives as HA&&é on AZERTY, where A itself moves to Q; a URL as httpsÖ--…-t- on QWERTZ.
    assert ARRIVALS["French"]("H112") == "H&&é"
    assert ARRIVALS["German"]("https://host/t/R26") == "httpsÖ--host-t-R26"


@pytest.mark.parametrize("command", Command)
def test_every_command_is_read_from_its_code_and_from_its_word(command: Command) -> None:
    for text in (command.code, command.code.lower(), command.word, command.word.lower() + "\r\n"):
        assert read(text) == Read(command)
    assert command.meaning


def test_no_slip_turns_one_command_into_another() -> None:
    codes = {command.code for command in Command}
    assert len(codes) == len(Command)
    for code in codes:
        for place in range(2, 6):
            slips = {code[:place] + digit + code[place + 1 :] for digit in "0123456789"}
            assert slips & codes == {code}
        assert not {
            code[:2] + code[3] + code[2] + code[4:],
            code[:3] + code[4] + code[3] + code[5],
        } & codes - {code}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Nothing was read"),
        ("\r\n", "Nothing was read"),
        ("R2600012384", "R26-000123-84 is damaged or mistyped"),
        ("R2600012383001721", "R26-000123-83-0017-21 is damaged or mistyped"),
        ("R260001238", "has 10 characters"),
        ("R26000123830", "has 12 characters"),
        ("V2600012383", "V is no letter of our numbers"),
        ("V26000123" + pair_for("V26000123"), "V is no letter of our numbers"),
        ("A2600012383", "A is no letter of our numbers"),
        ("2R600012383", "is no code of ours"),
        ("R2600012383R2600012383", "is no code of ours"),
        ("R2600012383\rR2600012383", "is no code of ours"),
        ("R2600012383K", "is no code of ours"),
        ("R2600012383K100", "is no code of ours"),
        ("R2600012383K0", "never given"),
        ('R26ààà&é"_"', "is no code of ours"),
        ("Ṙ2600012383", "is no code of ours"),
        ("R２６00012383", "is no code of ours"),
        ("R٢٦00012383", "is no code of ours"),
        ("https://host/x/R2600012383", "is no code of ours"),
        ("https://host/t/", "is no code of ours"),
        ("VX0129", "is no code of ours"),
        ("VX9900", "is no code of ours"),
        ("R" * 401, "far too long"),
        ("https://host/t/" + "R" * 380, "is no code of ours"),
    ],
)
def test_what_proves_nothing_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(Unreadable, match=said) as refused:
        read(text)
    assert refused.value.expected
    assert refused.value.next_step
    assert len(refused.value.value) <= 41


def test_a_scan_that_two_layouts_prove_is_refused_and_not_guessed() -> None:
    # Belgian R1611335518, and R63-662288-.. under shift lock on a German keyboard: one scan in 100,000.
    with pytest.raises(Unreadable, match="two different numbers"):
        read(ARRIVALS["Belgian"]("R1611335518"))


@pytest.mark.parametrize("text", ["R26000000", "T00000000"])
def test_the_number_nought_is_never_given(text: str) -> None:
    with pytest.raises(Unreadable, match="never given"):
        read(text + pair_for(text))


@pytest.mark.parametrize("body", ["P2600009959" + "0001", "R2600012383" + "0000", "R2600012384" + "0017"])
def test_an_item_proves_its_lot_as_well(body: str) -> None:
    with pytest.raises(Unreadable, match="never given"):
        read(body + pair_for(body))


@pytest.mark.parametrize("text", [str(BADGE)[:-1] + "9", str(BADGE)[:-1], str(BADGE) + "1"])
def test_a_spoilt_badge_is_never_repeated_on_a_screen(text: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read(text)
    assert BADGE.digits[:6] not in f"{refused.value} {refused.value.value}"


@pytest.mark.parametrize(
    ("text", "fragments"),
    [
        ("000123-83", ["00012383"]),
        ("12383", ["12383"]),
        ("R26-000123", ["R26000123"]),
        ("r26", ["R26"]),
        ("l23", ["L23", "123"]),
        ("O12", ["012"]),
        ("V12", None),
        ("12383K2", ["12383"]),
        ("ààà&é", ["00012"]),
        ("R26-000123-83", ["R2600012383"]),
        ("https://host/t/R2600012383K2\r\n", ["R2600012383"]),
        ("R2600012384", ["R2600012384"]),
        ("", None),
        ("brittle nails", None),
        ("%_", ["5"]),  # shift lock; nothing but letters and digits ever comes out
        ("~|", None),
        ("9" * 500, None),
    ],
)
def test_part_of_a_number_is_made_fit_to_search_for(text: str, fragments: list[str] | None) -> None:
    if fragments is None:
        with pytest.raises(Unreadable):
            find(text)
    else:
        assert find(text) == fragments
