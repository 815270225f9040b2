"""Classes of lines that a set of unseen lines showed to be misread: each with its sisters.

For every class lines that must be read so, in both Englishes, and lines near to them that must
not change. The lines are our own; common practice of readers, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pausewright.wording.plain_lines import LineWorder

BRITISH = {
    "probabilities beside odds": (
        (
            "The odds of a 6 are 5/1 and P(6) = 1/6.",
            "The odds of a six are five to one and P of six equals one sixth.",
        ),
        (
            "The odds are 9/4; the probability is 4/13.",
            "The odds are nine to four; the probability is four thirteenths.",
        ),
        ("The horse won at 7–2.", "The horse won at seven to two."),
    ),
    "miles of a numbered road": (
        (
            "Follow the A39 for 4 m, then turn left.",
            "Follow the A thirty-nine for four miles, then turn left.",
        ),
        (
            "Drive for 12 m along the B3227.",
            "Drive for twelve miles along the B three two two seven.",
        ),
        ("Walk for 12 m along the wall.", "Walk for twelve metres along the wall."),
    ),
    "letters in a row": (
        ("Write F Q X P.", "Write F Q X P."),
        ("Write Q X P.", "Write Q X P."),
        ("Do Q IV again.", "Do question four again."),
    ),
    "diameters": (
        ("Drill a Ø6 mm hole.", "Drill a six millimetre diameter hole."),
        ("The bar is Ø12 mm.", "The bar is diameter twelve millimetres."),
    ),
    "days as a unit": (
        ("It orbits in 27.3 d.", "It orbits in twenty-seven point three days."),
        ("It lasts 3 d, 4 h.", "It lasts three days, four hours."),
        ("Answers: 1 b, 2 a, 3 d.", "Answers: one b, two a, three d."),
    ),
    "squares and places on a map": (
        ("The pub is in square 4512.", "The pub is in square four five one two."),
        ("The mast is at 274415.", "The mast is at two seven four four one five."),
        (
            "The square holds 2500 people.",
            "The square holds two thousand five hundred people.",
        ),
    ),
    "marks with others": (("Explain why. [4 + 3 SPaG]", "Explain why. four plus three SPaG"),),
    "several by their numbers": (
        ("Move bars 3–6 up a tone.", "Move bars three to six up a tone."),
        ("Sets 1–3 have maths now.", "Sets one to three have maths now."),
        ("Members 1–50 vote.", "Members one to fifty vote."),
        ("Answer Q1–4 now.", "Answer questions one to four now."),
        ("Grades are marked 9–1.", "Grades are marked nine to one."),
        ("Rovers won 3–1.", "Rovers won three one."),
        ("The year-10s are here.", "The year-tens are here."),
    ),
    "hours without a point": (
        (
            "The exam starts at 0930 and ends at 1115.",
            "The exam starts at oh nine thirty and ends at eleven fifteen.",
        ),
        ("Room 14, 0900–1030.", "Room fourteen, oh nine hundred to ten thirty."),
        ("The shift is 2200–0600.", "The shift is twenty-two hundred to oh six hundred."),
        (
            "HW 0614 and 1838; LW 1226.",
            "H W oh six fourteen and eighteen thirty-eight; L W twelve twenty-six.",
        ),
        ("The code is 0930.", "The code is oh nine three oh."),
        (
            "From 1200 to 1500 wool was sold.",
            "From twelve hundred to fifteen hundred wool was sold.",
        ),
        (
            "Between 1750 and 1900 towns grew.",
            "Between seventeen fifty and nineteen hundred towns grew.",
        ),
    ),
    "cricket and points": (
        (
            "They were 287/6 at the close.",
            "They were two hundred and eighty-seven for six at the close.",
        ),
        ("He took 5–43.", "He took five for forty-three."),
        ("It took 5–10 minutes.", "It took five to ten minutes."),
        ("He made 104*.", "He made one hundred and four not out."),
        ("Elm are on 145 pts.", "Elm are on one hundred and forty-five points."),
        ("P 10 W 6 D 2 L 2", "P ten W six D two L two"),
        ("He scored 3/4.", "He scored three out of four."),
        ("He ate 3/4 of it.", "He ate three quarters of it."),
    ),
    "intervals, keys and chords": (
        ("Is the interval a P5?", "Is the interval a perfect fifth?"),
        ("The chord is V7c in G.", "The chord is five seven C in G."),
        ("It is in C min.", "It is in C minor."),
    ),
    "ways and rivers": (
        (
            "Turn L at the lights and R at the pub.",
            "Turn left at the lights and right at the pub.",
        ),
        ("Go N for 2 km, then E.", "Go north for two kilometres, then east."),
        ("Play a C then E.", "Play a C then E."),
        ("R. Severn flows to the sea.", "River Severn flows to the sea."),
        ("R. Hill wrote it.", "R Hill wrote it."),
    ),
    "lenses, isotopes and enlargements": (
        ("The lens is at f/2.8 now.", "The lens is at f two point eight now."),
        ("Cl-35 is an isotope.", "C L thirty-five is an isotope."),
        ("Enlarge it by s.f. 2.", "Enlarge it by scale factor two."),
        ("Round it to 2 s.f.", "Round it to two significant figures."),
    ),
    "sums and sizes": (
        ("What is 100 – 37?", "What is one hundred minus thirty-seven?"),
        ("Simplify 3g × 2g.", "Simplify three g times two g."),
        ("A 2 m tall man came.", "A two metre tall man came."),
        ("Term ends 18.7.25.", "Term ends the eighteenth of July twenty twenty-five."),
    ),
    "groups by their numbers": (
        ("Years 7–9 have lunch at 12.15.", "Years seven to nine have lunch at twelve fifteen."),
        ("Rooms 10–12 close at tea.", "Rooms ten to twelve close at tea."),
        ("They were 98–2 at tea.", "They were ninety-eight for two at tea."),
        ("It was a 9–5 job.", "It was a nine to five job."),
        ("They were 2–0 up.", "They were two nil up."),
        ("It ended 1–0 to Town.", "It ended one nil to Town."),
        ("It was 15–love.", "It was fifteen love."),
    ),
    "signs before a word of theirs": (
        ("Segment ST is ⊥ to segment UV.", "Segment S T is perpendicular to segment U V."),
        ("Line m is ∥ to line n.", "Line m is parallel to line n."),
        ("AB ⊥ CD", "A B is perpendicular to C D"),
    ),
    "figures known, and as a ratio": (
        ("Mix them in the ratio 50:50.", "Mix them in the ratio fifty to fifty."),
        ("It is a 50:50 chance.", "It is a fifty fifty chance."),
    ),
    "a question with may": (
        ("May 5 pupils leave early today?", "May five pupils leave early today?"),
        ("On May 5 pupils leave early.", "On May the fifth pupils leave early."),
        ("May 5 is a Tuesday.", "May the fifth is a Tuesday."),
    ),
    "codes named before": (
        (
            "The account number of the club is 20417733.",
            "The account number of the club is two oh four one seven seven three three.",
        ),
        ("The answer is 20417.", "The answer is twenty thousand four hundred and seventeen."),
    ),
    "grades with a star": (
        ("He got two A*s and three Bs.", "He got two A stars and three Bs."),
        ("The grade went from an A to an A*.", "The grade went from an A to an A star."),
        ("She has 3 A*'s.", "She has three A stars."),
    ),
    "days between which something lasts": (
        (
            "The exhibition runs from 3/5 to 28/6.",
            "The exhibition runs from the third of May to the twenty-eighth of June.",
        ),
        (
            "Increase the amount from 1/2 to 3/4 of a cup.",
            "Increase the amount from one half to three quarters of a cup.",
        ),
    ),
    "times of day in a list": (
        (
            "Buses leave at 9.10, 9.25 and 9.40.",
            "Buses leave at nine ten, nine twenty-five and nine forty.",
        ),
        (
            "Lessons start at 9.00, 10.00 and 11.15.",
            "Lessons start at nine o’clock, ten o’clock and eleven fifteen.",
        ),
        ("The show times are 2.30 and 7.30.", "The show times are two thirty and seven thirty."),
        ("Break 10.45", "Break ten forty-five"),
        (
            "The readings were 9.10, 9.25 and 9.40.",
            "The readings were nine point one oh, nine point two five and nine point four oh.",
        ),
        (
            "She ran it in 12.45 s, 12.60 s and 12.05 s.",
            (
                "She ran it in twelve point four five seconds, twelve point six oh seconds and "
                "twelve point oh five seconds."
            ),
        ),
        (
            "It is 1.16 euros to the pound.",
            "It is one point one six euros to the pound.",
        ),
    ),
    "odds and scales of models": (
        ("The odds on it are 5/2.", "The odds on it are five to two."),
        ("The bookmaker offers 11/4.", "The bookmaker offers eleven to four."),
        ("The model is 1/72 scale.", "The model is one to seventy-two scale."),
        ("Write 5/2 as a decimal.", "Write five halves as a decimal."),
        ("Find 3/4 of 20.", "Find three quarters of twenty."),
        ("After 9/11 much changed.", "After nine eleven much changed."),
        ("Simplify 9/11.", "Simplify nine elevenths."),
    ),
    "rates after a temperature or share": (
        (
            "It rose by 0.3 °C/km.",
            "It rose by nought point three degrees Celsius per kilometre.",
        ),
        ("It grew by 2%/year.", "It grew by two per cent per year."),
        (
            "Bake at 180 °C/350 °F.",
            (
                "Bake at one hundred and eighty degrees Celsius or three hundred and fifty degrees "
                "Fahrenheit."
            ),
        ),
        ("It holds 300 kcal/serving.", "It holds three hundred kilocalories per serving."),
        (
            "It takes 4200 J/kg °C.",
            "It takes four thousand two hundred joules per kilogram degree Celsius.",
        ),
        ("It loses 5 W/m² K.", "It loses five watts per square metre kelvin."),
    ),
    "the Sun and days": (
        ("Neptune goes round the Sun.", "Neptune goes round the Sun."),
        ("It is the third planet from the Sun.", "It is the third planet from the Sun."),
        ("We saw Earth, Moon and Sun.", "We saw Earth, Moon and Sun."),
        ("We play every Sun.", "We play every Sunday."),
        ("We play on Sat and Sun only.", "We play on Saturday and Sunday only."),
        ("Mon: maths; Tue: art", "Monday: maths; Tuesday: art"),
    ),
    "so many times": (
        ("The chip is 2–3x faster.", "The chip is two to three times faster."),
        ("It has a 10–20x zoom.", "It has a ten to twenty times zoom."),
        ("Simplify 3x + 2x.", "Simplify three x plus two x."),
        ("Expand 3x(x + 1).", "Expand three x open bracket x plus one close bracket."),
    ),
    "approximate": (
        ("The approx. cost is £5.", "The approximate cost is five pounds."),
        ("Give approx. answers.", "Give approximate answers."),
        ("It is approx. 30 cm long.", "It is approximately thirty centimetres long."),
    ),
    "codes and names with low lines": (
        ("Enter the code B7K-94 now.", "Enter the code B seven K, ninety-four now."),
        ("The password is Kite_905.", "The password is Kite underscore nine zero five."),
        ("The user is jo_smith42.", "The user is jo underscore smith forty-two."),
        ("Find v_max if v_max = 3t.", "Find v sub max if v sub max equals three t."),
        ("Find a_5 now.", "Find a sub five now."),
    ),
    "years of school and sizes": (
        ("The Year 6s sit here.", "The Year sixes sit here."),
        ("Year 11s must come.", "Year elevens must come."),
        ("It took 6s.", "It took six seconds."),
        ("He has 12 A's and 3 B's.", "He has twelve A's and three B's."),
        ("Answer Q3 or Q4 now.", "Answer question three or question four now."),
        ("See Q1 = 23 and Q3 = 41.", "See Q one equals twenty-three and Q three equals forty-one."),
    ),
    "numerals and rulers": (
        ("Which year is written as MCMXC?", "Which year is written as M C M X C?"),
        ("It was made in MMXIX.", "It was made in twenty nineteen."),
        ("James VI and I was king.", "James the Sixth and First was king."),
        (
            "William I reigned from 1066–1087.",
            "William the First reigned from ten sixty-six to ten eighty-seven.",
        ),
        ("XLII + VIII", "forty-two plus eight"),
    ),
    "years in two figures": (
        (
            "Use it by 03.08.25 please.",
            "Use it by the third of August twenty twenty-five please.",
        ),
        (
            "The letter is dated 03.08.25.",
            "The letter is dated the third of August twenty-five.",
        ),
        (
            "Valid 3/9/24–20/12/24.",
            (
                "Valid the third of September twenty twenty-four to the twentieth of December "
                "twenty twenty-four."
            ),
        ),
    ),
    "a minus before a letter": (
        ("F = –kx", "F equals minus k x"),
        ("x₁ + x₂ = –b/a", "x sub one plus x sub two equals minus b over a"),
        ("–3 – –5", "minus three minus minus five"),
        ("uₙ₊₁ = 2uₙ – 1", "u sub n plus one equals two u sub n minus one"),
        ("The letter (b–d) is here.", "The letter (b to d) is here."),
    ),
    "functions and powers closed up": (
        (
            "sinθ/cosθ = tanθ",
            "sine theta over cosine theta equals tan theta",
        ),
        ("y = sin2x", "y equals sine two x"),
        ("e³ˣ = 5", "e to the power of three x equals five"),
        ("2ˣ⁺¹ = 8", "two to the power of x plus one equals eight"),
        ("x² + 1", "x squared plus one"),
        ("tan θ = opp/adj", "tan theta equals opp over adj"),
    ),
    "slashes that are lists": (
        ("It is on M/W/F.", "It is on M, W, F."),
        ("Answer Y/N.", "Answer Y or N."),
        ("Delete Mr/Mrs/Ms.", "Delete Mister or Missus or Miz."),
        ("GDP/capita is high.", "G D P per capita is high."),
        ("R = ρL/A", "R equals rho L over A"),
        ("Score: ___/10", "Score: blank out of ten"),
    ),
    "numbers of things": (
        ("Centre no. 61245", "Centre number six one two four five"),
        ("The atomic no. is 17.", "The atomic number is seventeen."),
        ("Add 2 pts milk.", "Add two pints milk."),
        ("The team has 52 pts.", "The team has fifty-two points."),
        ("Use 2 × 400 g tins.", "Use two times four hundred gram tins."),
        ("A rug is 2 m × 3 m.", "A rug is two metres by three metres."),
        ("It rains in mid-Aug.", "It rains in mid-August."),
        ("Ask Jan in Hull.", "Ask Jan in Hull."),
    ),
}
AMERICAN = {
    "baseball and records": (
        (
            "They won 5–4 (11) in extra innings.",
            "They won five four (eleven) in extra innings.",
        ),
        ("The Jets are 3–5.", "The Jets are three five."),
        ("The count is 3–2.", "The count is three two."),
    ),
    "days with a slash": (
        ("The test is on 5/12 at 9:30.", "The test is on May twelfth at nine thirty."),
        ("The quiz on 2/14 covers it.", "The quiz on February fourteenth covers it."),
        ("She scored 5/12 in it.", "She scored five out of twelve in it."),
    ),
    "units with their stops": (
        ("There are 4 qts. in a gal.", "There are four quarts in a gallon."),
        ("Use a 9 in pan now.", "Use a nine inch pan now."),
        ('Use a 3/8" drill bit.', "Use a three eighth inch drill bit."),
    ),
    "groups by their numbers": (
        ("Grades 6–8 eat lunch first.", "Grades six to eight eat lunch first."),
        ("Innings 3–5 were dull.", "Innings three to five were dull."),
        ("The Court ruled 6–3.", "The Court ruled six three."),
        ("K-5 students came.", "K to five students came."),
    ),
    "sizes with full stops": (
        (
            "The box measures 4 in. × 6 in. × 10 in.",
            "The box measures four inches by six inches by ten inches.",
        ),
        ("The room is 12 ft. × 15 ft. now.", "The room is twelve feet by fifteen feet now."),
        ('Use a 9" x 13" pan.', "Use a nine inch by thirteen inch pan."),
        ('It is 3/4" thick.', "It is three quarters of an inch thick."),
        ("It is 6 ft. He is tall.", "It is six feet. He is tall."),
    ),
    "rates after a temperature": (
        (
            "It warmed by 0.8 °F/decade.",
            "It warmed by zero point eight degrees Fahrenheit per decade.",
        ),
        ("It fell 2 °F/hr. yesterday.", "It fell two degrees Fahrenheit per hour yesterday."),
    ),
    "days and dates": (
        ("It is due Thurs. 10/2.", "It is due Thursday October second."),
        ("We meet Tues./Thurs. at noon.", "We meet Tuesday, Thursday at noon."),
        ("Mail it by 10/15/24.", "Mail it by October fifteenth twenty twenty-four."),
        ("Add 10/2 to it.", "Add ten halves to it."),
    ),
    "kitchen": (
        ("Add 3 T. sugar.", "Add three tablespoons sugar."),
        ("The field is 3 T strong.", "The field is three teslas strong."),
    ),
    "networks and keys": (
        (
            "The IP address is 10.0.0.12.",
            "The I P address is one zero dot zero dot zero dot one two.",
        ),
        ("Press Ctrl + Alt + Del.", "Press Control plus Alt plus Delete."),
        ("# of students", "number of students"),
    ),
}
ROWS = [
    (language, written, spoken)
    for language, table in (("en-GB", BRITISH), ("en-US", AMERICAN))
    for rows in table.values()
    for written, spoken in rows
]


@pytest.mark.parametrize(("language", "written", "spoken"), ROWS, ids=[row[1] for row in ROWS])
def test_a_sister_is_read_so(language: str, written: str, spoken: str) -> None:
    """The words are those of a careful reader."""
    words = LineWorder(Path("line.txt"), language, {}).spoken(written)

    assert words.lower().replace("’", "'") == spoken.lower().replace("’", "'")


@pytest.mark.parametrize("written", ["What is 5 % 2?", "Look at 7.40."])
def test_what_no_word_decides_is_asked(written: str) -> None:
    """Two readings remain: the author is asked."""
    worder = LineWorder(Path("line.txt"), "en-GB", {})
    worder.spoken(written)

    assert [problem.severity for problem in worder.problems.all] == ["warning"]


def test_a_program_tells_the_sign_of_a_remainder() -> None:
    """Beside words of programs the sign is no per cent."""
    worder = LineWorder(Path("line.txt"), "en-GB", {})

    assert worder.spoken("What does the program print for 17 % 5?").endswith("seventeen mod five?")
    assert worder.problems.all == ()
