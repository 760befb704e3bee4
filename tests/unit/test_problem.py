"""Problems as data: sorted, each once, one line each."""

from builder.problem import BadInput, Place, Problem, nearest


def test_one_line_each_in_the_order_of_the_file():
    problems = [
        Problem(Place("b.yaml", 1, 1), "", "is odd"),
        Problem(Place("a.yaml", 14, 3), "stages.pa", "is wrong"),
        Problem(Place("a.yaml", 2, 30), "", "is wrong"),
        Problem(Place("a.yaml", 2, 30), "", "is wrong"),
    ]
    assert str(BadInput(problems)) == "a.yaml:2:30: is wrong\na.yaml:14:3: stages.pa: is wrong\nb.yaml:1:1: is odd"


def test_nearest_word():
    assert nearest("curent", ["current", "voltage"]) == '; did you mean "current"?'
    assert nearest("zzz", ["current", "voltage"]) == ""
    assert nearest("x", []) == ""
