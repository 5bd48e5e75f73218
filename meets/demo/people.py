"""Invented schools and pupils for the demonstration meet, and the entry file that the schools would send."""

import csv
import io
from datetime import date, timedelta
from random import Random

from scoring.marks import show_mark

SCHOOLS = {
    "ASH": "Ashlow Vale Academy",
    "BRI": "Brindlemere School",
    "COR": "Corrowby High School",
    "DUN": "Dunnick Moor College",
    "ELV": "Elverstow School",
    "FAR": "Farthing Beck Academy",
    "GLA": "Glasswell High School",
    "HOL": "Holmscar Grammar School",
    "KIT": "Kitteray Point School",
}
WITHOUT_ADDRESS = "KIT"
GIRLS = (
    "Ada Amara Anwen Bea Carys Chiara Daria Edda Efua Fenna Freya Gwen Hana Ines Isla Jaya Juno Keziah Lena Liesl "
    "Maeve Marta Mina Nadia Nell Noor Orla Petra Priya Rhian Rosa Sana Saoirse Tamsin Thea Una Vera Wren Yara Zofia"
).split()
BOYS = (
    "Adil Aled Anton Ben Bram Callum Cian Dara Dewi Diego Eben Emeka Emrys Finn Gethin Haruto Idris Ivo Jarek Jonas "
    "Kai Kofi Lev Luca Milo Naveed Nico Oisin Omar Pavel Rafe Ravi Rhys Samir Silas Stellan Teo Tobias Yusuf Zane"
).split()
SURNAMES = (
    "Abberwick Adeyemi-Lund Barrowclif Bexham Calderstone Cobbold Czerny Dacre Demirci Dunnage Eastmure Ekdahl "
    "Fairlamb Farrugia Fenwyke Garrick Gościniak Halden Haverill Ibarra Ingleby Jessamy Józwiak Kallergis Kestle "
    "Langmere Lindqvist Łabęcki Marchbanks Mbanefo Merridew Nakagura Norbeck O'Donovan Okonjo Ormsby Papadimas "
    "Peverell Quennell Qureshi Radcot Rosewarne Sandalwood Šimková Stavely Tarrant Thorne Tregenza Ulvestad Vaizey "
    "Venn Wadlow Wexley Yarwood Yıldız Zeller"
).split()
GROUPS = {"U14": (12, 13), "U16": (14, 15), "U18": (16, 17)}
TYPICAL_CM = {
    ("LJ", "girls", "U14"): 380,
    ("LJ", "boys", "U14"): 410,
    ("LJ", "girls", "U16"): 440,
    ("LJ", "boys", "U16"): 500,
    ("LJ", "girls", "U18"): 470,
    ("LJ", "boys", "U18"): 560,
    ("TJ", "girls", "U16"): 940,
    ("TJ", "boys", "U16"): 1080,
    ("TJ", "girls", "U18"): 1000,
    ("TJ", "boys", "U18"): 1190,
}
EVENT_NAMES = {"LJ": "Long Jump", "TJ": "Triple Jump"}
COLUMNS = (
    "School code", "School", "First name", "Surname", "Date of birth", "Sex", "Event", "String", "Best", "Board",
)  # fmt: skip


def event_name(discipline: str, category: str, group: str) -> str:
    return f"{group} {category.capitalize()} {EVENT_NAMES[discipline]}"


def entry_file(rng: Random, ages_on: date) -> str:
    """The text of a clean entry file: two entries of every school in every event.

    In each group with a triple jump one pupil of the school does both jumps.
    """
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(COLUMNS)
    taken: set[tuple[str, str]] = set()
    for code, school in SCHOOLS.items():
        for category in ("girls", "boys"):
            for group in GROUPS:
                pupils = [_pupil(rng, category, group, ages_on, taken) for _ in range(3)]
                for discipline, pair in (("LJ", pupils[:2]), ("TJ", pupils[1:])):
                    if (discipline, category, group) in TYPICAL_CM:
                        for string, pupil in zip("AB", pair, strict=True):
                            rows.writerow([code, school, *pupil, *_entry(rng, discipline, category, group, string)])
    return text.getvalue()


def _pupil(
    rng: Random, category: str, group: str, ages_on: date, taken: set[tuple[str, str]]
) -> tuple[str, str, str, str]:
    while True:
        name = (rng.choice(GIRLS if category == "girls" else BOYS), rng.choice(SURNAMES))
        if name not in taken:
            break
    taken.add(name)
    age = rng.choice(GROUPS[group])
    born = ages_on.replace(year=ages_on.year - age) - timedelta(days=rng.randint(1, 360))
    return (*name, born.isoformat(), "F" if category == "girls" else "M")


def _entry(rng: Random, discipline: str, category: str, group: str, string: str) -> tuple[str, str, str, str]:
    typical = TYPICAL_CM[discipline, category, group]
    best = round(rng.gauss(typical + (15 if string == "A" else -10), typical * 0.06))
    board = ""
    if discipline == "TJ":
        board = "9" if best > 1060 else "7"
    return (event_name(discipline, category, group), string, show_mark(best), board)
