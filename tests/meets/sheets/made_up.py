"""Documents for sheets with invented values, any number of athletes."""

from meets.sheets.documents import About, Flight, ResultLine, ResultSheet, StartLine

FIRST = ["Orla", "Łucja", "Ángel", "Ελένη", "Дарья", "Siân", "O’Neil", "Zoë", "Bríd", "Amy"]
LAST = ["Elmsall", "Mbeki-Shaw", "Łukasik", "D'Arcy-Ó Briain", "Παπαδοπούλου", "Соколова", "Ng", "Żółkiewska", "Brown"]
SCHOOLS = ["Marrowdale Academy", "St Oswin's College", "Corrin Vale Grammar School for Girls", "Ysgol Bryn Derw"]


def about(paper="A4", **changed):
    values = {
        "meet": "Marrow Vale Schools’ Jumps",
        "event": "U15 Girls Triple Jump",
        "date": "Saturday 13 June 2026",
        "pit": "North pit",
        "report_at": "13:20",
        "starts_at": "13:50",
        "format": "3 trials, best 8 get 3 more; with 8 starters or fewer all take 6",
        "together_with": "Jumps together with U17 Girls Triple Jump",
        "version": "start list version 2",
        "printed": "printed 13 June 2026, 12:05",
        "paper": paper,
    }
    return About(**values | changed)


def name(number):
    return f"{FIRST[number % len(FIRST)]} {LAST[number % len(LAST)]} {number}"


def start_lines(count, first=1):
    return tuple(
        StartLine(
            order=str(order),
            bib=str(100 + first + order),
            name=name(first + order),
            school=SCHOOLS[order % 4],
            string=("A", "B", "guest")[order % 3],
            year_group=str(9 + order % 2),
            seed=f"9.{order:02d}",
            seed_note="+1.4, 3 May 2026",
            board=("7 m", "9 m")[order % 2],
            also_in=("U15 Girls Long Jump 15:20",) if order % 5 == 1 else (),
            say_it="BREED" if order % 4 == 0 else "",
        )
        for order in range(1, count + 1)
    )


def flight(count, title="", first=1):
    return Flight(title, start_lines(count, first))


def result(count, paper="A4", rounds=6, ties=4, remarks=3):
    lines = []
    for number in range(count):
        series = tuple(
            ("x", "+0.8") if (number + round) % 5 == 0 else (f"{9.80 - number * 0.07 - round * 0.01:.2f}", "+1.1")
            for round in range(rounds if number < 8 else min(rounds, 3))
        )
        lines.append(
            ResultLine(
                place=str(number + 1),
                bib=str(201 + number),
                name=name(number),
                school=SCHOOLS[number % 4],
                string="AB"[number % 2],
                year_group="10",
                best=f"{9.80 - number * 0.07:.2f}",
                best_wind="+1.1",
                series=series,
                points=str(8 - number) if number < 8 else "",
                marks=("PB",) if number % 3 == 0 else (),
            )
        )
    return ResultSheet(
        about=about(paper, version="result version 41"),
        status="Provisional",
        lines=tuple(lines),
        rounds=rounds,
        posted_at="14:22",
        protests_before="14:52",
        cuts=((8, "Cut after round 3: 8 went on"),) if count > 8 else (),
        tie_notes=tuple(
            f"Bib {202 + n}: Equal best 9.12 with bib {201 + n}; next best 8.98 loses to 9.02." for n in range(ties)
        ),
        remarks=tuple(f"Remark {n} on what happened, in a sentence of ordinary length." for n in range(remarks)),
        wind_note="2 trials have no wind information (NWI). Wind still to come: bib 203 round 2.",
        officials=(("referee", ""), ("recorder", "")),
        key=(("x", "failed"), ("PB", "personal best")),
    )
