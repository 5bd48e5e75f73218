import pytest

from meets.entries.event_names import EventName, parse_event_name

TRIPLE = EventName("U15", "girls", "TJ")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("U15 Girls Triple Jump", TRIPLE),
        ("u15 girls triple jump", TRIPLE),
        ("Girls U15 TJ", TRIPLE),
        ("U15G TJ", TRIPLE),
        ("Under 15 Girls' Triple Jump", TRIPLE),
        ("Triple jump, girls (U-15)", TRIPLE),
        ("U15 Girl's Triple Jump", TRIPLE),
        ("U13 Boys Long Jump", EventName("U13", "boys", "LJ")),
        ("U17 Mixed Long Jump", EventName("U17", "mixed", "LJ")),
        ("U17 girls and boys LJ", EventName("U17", "mixed", "LJ")),
        ("9-10 Girls LJ", EventName("9-10", "girls", "LJ")),
        ("8 and under boys long jump", EventName("8U", "boys", "LJ")),
        ("Grade 7 girls LJ", EventName("G7", "girls", "LJ")),
        ("High School Boys Triple Jump", EventName("HS", "boys", "TJ")),
        ("Junior Girls Long Jump", EventName("Junior", "girls", "LJ")),
        ("Long Jump", EventName("", "", "LJ")),
        ("U15 Girls", EventName("U15", "girls", "")),
        ("U15 Girls Long Jump final", EventName("U15", "girls", "LJ", "final")),
        ("", EventName("", "", "")),
    ],
)
def test_a_name_is_taken_apart(text, name):
    assert parse_event_name(text) == name
