"""What is read from packing lists as suppliers send them, and which rows are named as bad?

How suppliers write their lists is common practice, no source; 1 lb = 453.59237 g is exact (international
yard and pound agreement, 1959).
"""

import pytest
from lotroot.errors import Unreadable
from lotroot.receiving.packing_list import read_list
from lotroot.receiving.sheet import NO_CHOICES, Choices, ListFault, Sheet

KG = Choices(unit="kg")


def sheet(text: str, encoding: str = "utf-8", choices: Choices = NO_CHOICES) -> Sheet:
    return read_list(text.encode(encoding), choices)


def masses(text: str, encoding: str = "utf-8", choices: Choices = NO_CHOICES) -> list[int]:
    found = sheet(text, encoding, choices)
    assert found.faults == ()
    return [row.mass_theirs for row in found.rows]


def faults(text: str, choices: Choices = NO_CHOICES) -> list[tuple[int, str, str]]:
    return [(one.line, one.column, one.value) for one in sheet(text, choices=choices).faults]


def column(*cells: str, heading: str = "Net weight (kg)") -> str:
    """A list of one column of masses, its numbers C1, C2 ..."""
    rows = [f"C{place};{cell}" for place, cell in enumerate(cells, start=1)]
    return "\n".join([f"Coil no.;{heading}", *rows])


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("Coil No,Heat,Net weight (kg)\nA1,H1,4215.5\nA2,H2,4310\n", "utf-8"),
        ("Coil No,Heat,Net weight (kg)\r\nA1,H1,4215.5\r\nA2,H2,4310", "utf-8-sig"),
        ("Coil No;Heat;Net weight (kg)\nA1;H1;4215,5\nA2;H2;4310\n", "utf-8"),
        ("Coil No\tHeat\tNet weight (kg)\nA1\tH1\t4215,5\nA2\tH2\t4310\n", "utf-8"),
        ('"Coil No","Heat","Net weight (kg)"\n"A1","H1","4215,5"\n"A2","H2","4310"\n', "utf-8"),
        ('Coil No,Heat,Net weight (kg)\nA1,H1,"4,215.5"\nA2,H2,"4,310"\n', "utf-8"),
        ("sep=;\nCoil No;Heat;Net weight (kg)\nA1;H1;4215,5\nA2;H2;4310\n", "utf-8"),
        ("Ring-Nr.;Schmelze;Gewicht netto [t]\nA1;H1;4,2155\nA2;H2;4,31\n", "cp1252"),
        ("N° bobine;N° de coulée;Poids net kg\nA1;H1;4 215,5\nA2;H2;4 310\n", "cp1252"),
        ("Nº de bobina;Colada;Peso neto (kg)\nA1;H1;4.215,5\nA2;H2;4.310\n", "cp1252"),
        ("Numero rotolo;Colata;Peso netto kg\nA1;H1;4'215.5\nA2;H2;4'310\n", "utf-8"),
        ("Kollinummer;Charge;Nettovikt (kg)\nA1;H1;4215,5\nA2;H2;4310\n", "utf-8"),
        ("Coil No;Heat;Weight;UoM\nA1;H1;4215,5;kg\nA2;H2;4,31;t\n", "utf-8"),
        ("Coil No;Heat;Weight\nA1;H1;4215.5 kg\nA2;H2;4.31 t\n", "utf-8"),
        ("Coil No;Heat;Weight\n;;kg\nA1;H1;4215.5\nA2;H2;4310\n", "utf-8"),
        ("Coil No;Heat;Net;Gross kg\nA1;H1;4215.5 kg;4260\nA2;H2;4310 kg;4355\n", "utf-8"),
        (
            'Packing list 88\n"To: us,\nhere"\n\nCoil No,Heat,Net kg\nA1,H1,4215.5\n\nA2,H2,4310\n,,\n',
            "utf-8",
        ),
        ("Coil No\tHeat\tNet kg\nA1\tH1\t4215.5\nA2\tH2\t4310\n", "utf-16"),
    ],
)
def test_a_list_reads_the_same_however_it_is_written(text: str, encoding: str) -> None:
    found = sheet(text, encoding)
    assert found.faults == ()
    assert [(row.supplier_number, row.heats, row.mass_theirs) for row in found.rows] == [
        ("A1", ("H1",), 4_215_500),
        ("A2", ("H2",), 4_310_000),
    ]


def test_pounds_are_converted_exactly_and_rounded_to_the_gram() -> None:
    assert masses(column("4215", "4310 lb", heading="Weight LBS")) == [1_911_892, 1_954_983]


@pytest.mark.parametrize(
    ("cells", "heading", "expected"),
    [
        # settled by the mark the others use
        (["4215,5", "4,310"], "kg", None),  # 4.31 kg beside 4 215.5 kg: the two hints disagree
        (["1,25", "1,234"], "t", [1_250_000, 1_234_000]),
        (["1.250,5", "1,234"], "kg", None),
        (["12.5", "1,234", "980"], "kg", [12_500, 1_234_000, 980_000]),
        (["1,250.5", "1,234"], "kg", [1_250_500, 1_234_000]),
        (["0,350", "1,234"], "kg", [350, 1_234]),
        # settled by what the others weigh
        (["4215", "4,310"], "kg", [4_215_000, 4_310_000]),
        (["4215", "4.310"], "kg", [4_215_000, 4_310_000]),
        (["4", "4.310"], "kg", [4_000, 4_310]),
        # settled by what a truck carries
        (["4,215", "4,310"], "t", [4_215_000, 4_310_000]),
        # thousands beyond doubt
        (["1,234,567"], "lb", [559_990_171]),
        (["1 234.5", "12 345"], "kg", [1_234_500, 12_345_000]),
        # open
        (["4,215", "4,310"], "kg", None),
        (["4.215", "4,310"], "kg", None),
    ],
)
def test_a_mass_that_reads_two_ways_is_settled_by_the_others_or_named(
    cells: list[str], heading: str, expected: list[int] | None
) -> None:
    found = sheet(column(*cells, heading=f"Weight {heading}"))
    read = [row.mass_theirs for row in found.rows]
    if expected is None:
        assert found.faults
        assert 0 in read
    else:
        assert (read, found.faults) == (expected, ())


def test_the_usual_mass_settles_a_list_that_does_not() -> None:
    doubtful = column("4,215", "4,310")
    assert len(faults(doubtful)) == 2
    assert masses(doubtful, choices=Choices(usual=4_000_000)) == [4_215_000, 4_310_000]
    assert masses(doubtful, choices=Choices(usual=5_000)) == [4_215, 4_310]


def test_a_doubtful_mass_is_named_with_both_readings() -> None:
    assert sheet(column("4,215")).faults == (
        ListFault(
            2,
            "Net weight (kg)",
            "4,215",
            "4.215\u202fkg or 4\u202f215\u202fkg: write it with another number of decimals",
        ),
    )


@pytest.mark.parametrize("heading", ["Weight", "Weight (ton)", "Weight tons", "Weight kg/lb"])
def test_a_unit_is_never_guessed(heading: str) -> None:
    text = column("4215", heading=heading)
    assert faults(text) == [(2, heading, "4215")]
    assert masses(text, choices=KG) == [4_215_000]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (column("0"), [(2, "Net weight (kg)", "0")]),
        (column("-5", "12"), [(2, "Net weight (kg)", "-5")]),
        (column("", "12"), [(2, "Net weight (kg)", "")]),
        (column("4.2E+03"), [(2, "Net weight (kg)", "4.2E+03")]),
        (column("4215 stk"), [(2, "Net weight (kg)", "4215 stk")]),
        (column("NaN"), [(2, "Net weight (kg)", "NaN")]),
        ("Coil No;Heat;kg\n;H1;12\n", [(2, "Coil No", "")]),
        ("Coil No;Heat;kg\n1.23457E+11;H1;12\n", [(2, "Coil No", "1.23457E+11")]),
        (f"Coil No;Heat;kg\n{'9' * 91};H1;12\n", [(2, "Coil No", "9" * 91)]),
        # the same number twice, however it is typed
        ("Coil No;Heat;kg\nA1;H1;12\nB2;H1;12\na1 ;H1;12\n", [(4, "Coil No", "a1")]),
        # a comma that parts cells and decimals alike, in the last column and in one before
        ("Coil No,Heat,kg\nA1,H1,4215,5\nA2,H2,4310\n", [(2, "", "5")]),
        ("Coil No,kg,Heat,\nA1,4215,5,H1\nA2,4310,H2\n", [(2, "", "H1")]),
        # every bad row is named, not only the first
        (column("x", "12", "y"), [(2, "Net weight (kg)", "x"), (4, "Net weight (kg)", "y")]),
    ],
)
def test_every_bad_row_is_named(text: str, expected: list[tuple[int, str, str]]) -> None:
    assert faults(text) == expected


def test_good_rows_are_shown_beside_bad_ones() -> None:
    found = sheet(column("12", "x"))
    assert [row.mass_theirs for row in found.rows] == [12_000, 0]
    assert [fault.expected for fault in found.faults] == ["a number such as 1234.5"]


def test_row_numbers_are_those_a_spreadsheet_shows() -> None:
    text = 'List 7,,\n\nCoil No,Remark,kg\nA1,"two\nlines",12\nA2,,x\n'
    found = sheet(text)
    assert [row.line for row in found.rows] == [4, 5]
    assert found.rows[0].remark == "two lines"
    assert [fault.line for fault in found.faults] == [5]


@pytest.mark.parametrize(
    ("rows", "total", "named"),
    [
        ("A1;12\nA2;13\nTotal;25\n", 25_000, []),
        ("A1;12.4\nA2;13,4\nSumme:;25.8\n", 25_800, []),
        ("A1;1200\nA2;1300\nGrand total;2,500\n", 2_500_000, []),
        ("A1;1200\nSubtotal;1200\nA2;1300\nSubtotal;1300\nTotal;2500\n", 2_500_000, []),
        ("A1;1200\nTotal H1;1200\nA2;1300\nTotal H2;1300\n", 0, []),
        ("A1;1200\nA2;1300\nTotal;2600\n", 2_600_000, [(4, "kg", "2600")]),
        ("A1;1200\nA2;1300\nTotal 2 coils;\n", 0, []),
    ],
)
def test_a_total_is_compared_with_its_rows(rows: str, total: int, named: list[tuple[int, str, str]]) -> None:
    found = sheet(f"Coil no;kg\n{rows}")
    assert found.total == total
    assert [(one.line, one.column, one.value) for one in found.faults] == named


def test_headings_that_fill_nothing_and_rows_of_words_are_shown() -> None:
    found = sheet("Coil No;Heat;Vessel;Net kg;Gross kg\nA1;H1;Astra;12;13\nPacked dry;;;;\n")
    assert found.columns == {
        "supplier_number": "Coil No",
        "heats": "Heat",
        "mass": "Net kg",
        "gross": "Gross kg",
    }
    assert found.ignored == ("Vessel",)
    assert found.skipped == ((3, "Packed dry"),)


def test_the_better_wording_wins_where_two_columns_fit() -> None:
    found = sheet("No;Weight kg;Net weight kg;Coil;Coil weight note;Coil No\n1;13;12;x;y;A1\n")
    assert (found.columns["mass"], found.columns["supplier_number"]) == ("Net weight kg", "Coil No")


def test_a_person_may_say_what_a_heading_means() -> None:
    text = "Mystery;Coil;Pes\nA1;x;12\n"
    with pytest.raises(Unreadable):
        sheet(text)
    chosen = Choices(unit="kg", columns={"mystery": "supplier_number", "Pes": "mass"})
    assert [(row.supplier_number, row.mass_theirs) for row in sheet(text, choices=chosen).rows] == [
        ("A1", 12_000)
    ]


def test_several_heats_and_every_text_column_are_read() -> None:
    text = (
        "Bundle no;Heat;Grade;Size;PO;Description;Pieces;Remarks;Colour batch\n"
        '="0012";H1 + H2; C9D ;2x4x12;450012;Southern pine 2x4x12;294;top wet;P-1188\n'
        "0013;H1; H3;;;;;1,234;;\n"
    )
    first, second = sheet(text.replace("H1; H3", '"H1; H3"')).rows
    assert (first.supplier_number, first.heats) == ("0012", ("H1", "H2"))
    assert (first.grade, first.size, first.order_number) == ("C9D", "2x4x12", "450012")
    assert (first.product, first.pieces, first.remark) == ("Southern pine 2x4x12", 294, "top wet")
    assert (first.paint_batch, second.paint_batch) == ("P-1188", "")
    assert (second.heats, second.pieces, second.mass_theirs) == (("H1", "H3"), 1_234, 0)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "headings"),
        (b"\n\n", "headings"),
        (b"Coil No;Heat\nA1;H1\n", "headings"),
        (b"Net kg\n12\n", "headings"),
        (b"Coil No;kg\n", "cannot be taken"),
        (b"PK\x03\x04rest of a workbook", "a spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "a spreadsheet"),
        (b"Coil No;kg\nA\x001;12\n", "no text"),
        (b"Coil No;kg\n\x81;12\n", "no text"),  # neither UTF-8 nor a sign of Windows-1252
        (b'Coil No;kg\n"A1;12\nA2;13\n', "quotation mark"),
        (b"x" * 1_000_001, "too large"),
        (b"Coil No;kg\n" + b"A;1\n" * 5_101, "too long"),
        (b"Coil No;kg\n" + b"A;1\n" * 5_001, "cannot be taken"),
    ],
)
def test_what_is_no_list_is_refused_with_what_to_do(content: bytes, said: str) -> None:
    with pytest.raises(Unreadable, match=said) as refused:
        read_list(content)
    assert refused.value.expected
    assert refused.value.next_step


def test_the_longest_list_is_read() -> None:
    text = "Coil No;kg\n" + "".join(f"A{place};12\n" for place in range(5_000))
    assert len(sheet(text).rows) == 5_000
