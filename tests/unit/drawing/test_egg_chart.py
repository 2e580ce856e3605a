"""The small chart of a box's weight or an incubator's temperature, and where eggs lie before a keeper says so."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from coilbook.drawing.egg_chart import Area, Course, Limit, draw
from coilbook.drawing.egg_places import first_places

AREA = Area(50, 10, 200, 100)


def test_points_limits_and_aim_stand_where_they_should() -> None:
    course = Course(
        runs=(((0.0, 18_640.0), (30.0, 17_680.0)),),
        span=(0.0, 60.0),
        least_span=300.0,
        aim=((0.0, 18_640.0), (30.0, 17_820.0)),
        limits=(Limit(17_000.0, "low"),),
    )
    drawn = draw(course, AREA)
    (run,) = drawn.runs
    assert run[0][0] == 50 and run[1][0] == 150
    assert run[0][1] < run[1][1], "lighter stands lower"
    # a level holds until the next one, and the last to the end
    assert [x for x, _ in drawn.aim] == [50, 150, 150, 250]
    assert drawn.aim[0][1] == drawn.aim[1][1] and drawn.aim[2][1] == drawn.aim[3][1]
    ((y, limit),) = drawn.limits
    assert limit.word == "low" and y > run[1][1], "a limit below every point is in sight"


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(-1_000, 50_000)), max_size=30),
    st.floats(1, 5_000),
)
def test_everything_lies_in_the_picture(points: list[tuple[float, float]], least: float) -> None:
    drawn = draw(Course((tuple(sorted(points)),), (0.0, 100.0), least), AREA)
    for x, y in drawn.dots:
        assert 49.9 <= x <= 250.1 and 9.9 <= y <= 110.1
    assert all(9.9 <= y <= 110.1 for y, _ in drawn.y_ticks) and len(drawn.y_ticks) <= AREA.most_y


@given(st.integers(1, 40), st.integers(0, 10))
def test_eggs_lie_in_the_box_and_none_on_another(count: int, taken: int) -> None:
    places = first_places(count, taken)
    assert len(places) == count
    assert all(0 <= x <= 1000 and 0 <= y <= 1000 for x, y in places)
    assert len(set(places)) == count
