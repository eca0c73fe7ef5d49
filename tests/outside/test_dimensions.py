"""Every row of the handbook's dimensions, as a sentence in both languages: value, unit, what, plausibility."""

from __future__ import annotations

import pytest
from build import say

from otochron.lexicon import load
from otochron.model import Lang, Measurement
from otochron.stages.measurements import read_measurements
from otochron.stages.mentions import find_mentions

Wanted = tuple[float, str, str, bool | None]

ROWS: list[tuple[Lang, str, float, str, str, bool | None]] = [
    ("en", "the eardrum is nine millimetres in diameter", 9, "mm", "tympanic-membrane", True),
    ("fr", "le tympan fait neuf millimètres de diamètre", 9, "mm", "tympanic-membrane", True),
    ("en", "the drum is point one millimetre thick", 0.1, "mm", "tympanic-membrane", True),
    ("fr", "le tympan a un dixième de millimètre d'épaisseur", 0.1, "mm", "tympanic-membrane", True),
    ("en", "the ear canal is twenty-six millimetres long", 26, "mm", "ear-canal", True),
    ("fr", "le conduit fait vingt-six millimètres de long", 26, "mm", "ear-canal", True),
    ("en", "the ear canal is seven millimetres in diameter", 7, "mm", "ear-canal", True),
    ("fr", "le conduit fait sept millimètres de diamètre", 7, "mm", "ear-canal", True),
    ("en", "canal incision six millimetres lateral to the annulus", 6, "mm", "canal-incision", True),
    ("fr", "incision du conduit à six millimètres de l'annulus", 6, "mm", "canal-incision", True),
    ("en", "the malleus is eight millimetres long", 8, "mm", "malleus", True),
    ("fr", "le marteau fait huit millimètres de long", 8, "mm", "malleus", True),
    ("en", "the malleus handle is four point nine millimetres long", 4.9, "mm", "malleus-handle", True),
    ("fr", "le manche du marteau fait quatre virgule neuf millimètres de long", 4.9, "mm", "malleus-handle", True),
    ("en", "the malleus head is five millimetres long", 5, "mm", "malleus-head", True),
    ("fr", "la tête du marteau fait cinq millimètres de long", 5, "mm", "malleus-head", True),
    ("en", "the incus is six and a half millimetres high", 6.5, "mm", "incus", True),
    ("fr", "l'enclume fait six millimètres et demi de haut", 6.5, "mm", "incus", True),
    ("en", "the long process of the incus is five millimetres long", 5, "mm", "incus-long-process", True),
    ("fr", "la longue apophyse de l'enclume fait cinq millimètres de long", 5, "mm", "incus-long-process", True),
    ("en", "the short process of the incus is three millimetres long", 3, "mm", "incus-short-process", True),
    ("fr", "la courte apophyse de l'enclume fait trois millimètres de long", 3, "mm", "incus-short-process", True),
    ("en", "the long process of the incus is point eight millimetres in diameter", 0.8, "mm", "incus-long-process", True),
    ("fr", "la longue apophyse de l'enclume a un diamètre de huit dixièmes de millimètre", 0.8, "mm", "incus-long-process", True),
    ("en", "the usable length of the long process of the incus is three millimetres", 3, "mm", "incus-long-process", True),
    ("fr", "la longueur utile de la longue apophyse de l'enclume est de trois millimètres", 3, "mm", "incus-long-process", True),
    ("en", "the angle of the incudostapedial joint is ninety-three degrees", 93, "deg", "incudostapedial-joint", True),
    ("fr", "l'angle de l'articulation incudo-stapédienne est de quatre-vingt-treize degrés", 93, "deg", "incudostapedial-joint", True),
    ("en", "the stapes is three point four millimetres high", 3.4, "mm", "stapes", True),
    ("fr", "l'étrier fait trois virgule quatre millimètres de haut", 3.4, "mm", "stapes", True),
    ("en", "the footplate is two point seven millimetres long", 2.7, "mm", "stapes-footplate", True),
    ("fr", "la platine fait deux virgule sept millimètres de long", 2.7, "mm", "stapes-footplate", True),
    ("en", "the footplate is one point two millimetres wide", 1.2, "mm", "stapes-footplate", True),
    ("fr", "la platine fait un virgule deux millimètre de large", 1.2, "mm", "stapes-footplate", True),
    ("en", "the footplate is two hundred microns thick", 200, "um", "stapes-footplate", True),
    ("fr", "la platine fait deux cents microns d'épaisseur", 200, "um", "stapes-footplate", True),
    ("en", "the stapes head is one millimetre in diameter", 1, "mm", "stapes-head", True),
    ("fr", "la tête de l'étrier fait un millimètre de diamètre", 1, "mm", "stapes-head", True),
    ("en", "the oval window is two millimetres long", 2, "mm", "oval-window", True),
    ("fr", "la fenêtre ovale fait deux millimètres de long", 2, "mm", "oval-window", True),
    ("en", "the round window is one and a half millimetres across", 1.5, "mm", "round-window", True),
    ("fr", "la fenêtre ronde fait un millimètre et demi de diamètre", 1.5, "mm", "round-window", True),
    ("en", "from the incus to the footplate i measure four and a quarter", 4.25, "mm", "incus-long-process", True),
    ("fr", "de l'enclume à la platine je mesure quatre vingt-cinq", 4.25, "mm", "incus-long-process", True),
    ("en", "a piston of four and a half", 4.5, "mm", "stapes-piston", True),
    ("fr", "un piston de quatre et demi", 4.5, "mm", "stapes-piston", True),
    ("en", "a malleus grip piston of six and a quarter millimetres", 6.25, "mm", "malleus-piston", True),
    ("fr", "un piston malléo-vestibulaire de six millimètres vingt-cinq", 6.25, "mm", "malleus-piston", True),
    ("en", "a point six piston", 0.6, "mm", "stapes-piston", True),
    ("fr", "un piston de six dixièmes", 0.6, "mm", "stapes-piston", True),
    ("en", "i always add half a millimetre to the length of the piston", 0.5, "mm", "stapes-piston", True),
    ("fr", "j'ajoute toujours un demi-millimètre pour le piston", 0.5, "mm", "stapes-piston", True),
    ("en", "the piston goes half a millimetre into the vestibule", 0.5, "mm", "stapes-piston", True),
    ("fr", "le piston rentre d'un demi-millimètre dans le vestibule", 0.5, "mm", "stapes-piston", True),
    ("en", "the fenestra is point seven", 0.7, "mm", "stapedotomy-fenestra", True),
    ("fr", "la platinotomie fait sept dixièmes", 0.7, "mm", "stapedotomy-fenestra", True),
    ("en", "a two point two five porp", 2.25, "mm", "porp", True),
    ("fr", "une prothèse partielle de deux vingt-cinq", 2.25, "mm", "porp", True),
    ("en", "a torp of four and a half", 4.5, "mm", "torp", True),
    ("fr", "une prothèse totale de quatre cinquante", 4.5, "mm", "torp", True),
    ("en", "a head plate of three millimetres", 3, "mm", "prosthesis-head-plate", True),
    ("fr", "un plateau de trois millimètres", 3, "mm", "prosthesis-head-plate", True),
    ("en", "i slice the tragal cartilage to half a millimetre", 0.5, "mm", "tragal-cartilage", True),
    ("fr", "le cartilage tragien je l'affine à cinq dixièmes", 0.5, "mm", "tragal-cartilage", True),
    ("en", "a cartilage island of eight millimetres", 8, "mm", "cartilage-island", True),
    ("fr", "un îlot de cartilage de huit millimètres", 8, "mm", "cartilage-island", True),
    ("en", "a fascia graft of fifteen millimetres", 15, "mm", "temporalis-fascia", True),
    ("fr", "une aponévrose de quinze millimètres", 15, "mm", "temporalis-fascia", True),
    ("en", "a perforation of forty percent", 40, "%", "perforation", True),
    ("fr", "une perforation de quarante pour cent", 40, "%", "perforation", True),
    ("en", "a perforation of three millimetres", 3, "mm", "perforation", True),
    ("fr", "une perforation de trois millimètres", 3, "mm", "perforation", True),
    ("en", "speculum six please", 6, "mm", "ear-speculum", True),
    ("fr", "spéculum de six", 6, "mm", "ear-speculum", True),
    ("en", "a grommet with an inner diameter of one point one four", 1.14, "mm", "ventilation-tube", True),
    ("fr", "un aérateur d'un diamètre interne de un virgule quatorze", 1.14, "mm", "ventilation-tube", True),
    ("en", "a grommet seven millimetres long", 7, "mm", "ventilation-tube", True),
    ("fr", "un aérateur de sept millimètres de long", 7, "mm", "ventilation-tube", True),
    ("en", "a myringotomy of three millimetres", 3, "mm", "myringotomy", True),
    ("fr", "une paracentèse de trois millimètres", 3, "mm", "myringotomy", True),
    ("en", "the electrode array is at six forty degrees", 640, "deg", "electrode-array", True),
    ("fr", "le porte-électrodes est à six cent quarante degrés", 640, "deg", "electrode-array", True),
    ("en", "an electrode array of twenty-eight millimetres", 28, "mm", "electrode-array", True),
    ("fr", "un porte-électrodes de vingt-huit millimètres", 28, "mm", "electrode-array", True),
    ("en", "the cochlear duct length is thirty-four millimetres in this cochlea", 34, "mm", "cochlea", True),
    ("fr", "la longueur du canal cochléaire est de trente-quatre millimètres", 34, "mm", "cochlea", True),
    ("en", "the a value of the cochlea is eight point seven millimetres", 8.7, "mm", "cochlea", True),
    ("fr", "la valeur a de la cochlée est de huit virgule sept millimètres", 8.7, "mm", "cochlea", True),
    ("en", "the scala tympani is one millimetre high", 1, "mm", "scala-tympani", True),
    ("fr", "la rampe tympanique fait un millimètre de haut", 1, "mm", "scala-tympani", True),
    ("en", "a cochleostomy of one millimetre", 1, "mm", "cochleostomy-site", True),
    ("fr", "une cochléostomie d'un millimètre", 1, "mm", "cochleostomy-site", True),
    ("en", "impedances of seven kilo ohms", 7, "kOhm", "electrode-contact", True),
    ("fr", "des impédances à sept kilo-ohms", 7, "kOhm", "electrode-contact", True),
    ("en", "a three millimetre cutting burr", 3, "mm", "cutting-burr", True),
    ("fr", "fraise diamantée de deux", 2, "mm", "diamond-burr", True),
    ("en", "the microdrill at six thousand rpm", 6000, "/min", "microdrill", True),
    ("fr", "la microfraise à six mille tours par minute", 6000, "/min", "micro-burr", True),
    ("en", "twenty gauge suction", 20, "{gauge}", "suction", True),
    ("fr", "aspiration de cinq charrière", 5, "[Ch]", "suction", True),
    ("en", "a thirty degree endoscope", 30, "deg", "endoscope", True),
    ("fr", "une optique trente degrés", 30, "deg", "endoscope", True),
    ("en", "a three millimetre endoscope", 3, "mm", "endoscope", True),
    ("fr", "un endoscope de trois millimètres", 3, "mm", "endoscope", True),
    ("en", "the facial nerve answers at point two milliamps", 0.2, "mA", "facial-nerve", True),
    ("fr", "le facial répond à deux dixièmes de milliampère", 0.2, "mA", "facial-nerve", True),
    ("en", "lidocaine with adrenaline one in a hundred thousand", 0.00001, "1", "adrenaline", True),
    ("fr", "lidocaïne adrénaline à un pour cent mille", 0.00001, "1", "adrenaline", True),
    ("en", "an air-bone gap of thirty-five decibels", 35, "dB", "air-bone-gap", True),
    ("fr", "un rinne de trente-cinq décibels", 35, "dB", "air-bone-gap", True),
    ("en", "a postauricular incision of five centimetres", 5, "cm", "retroauricular-approach", True),
    ("fr", "une incision rétro-auriculaire de cinq centimètres", 5, "cm", "retroauricular-approach", True),
    ("en", "the laser at two watts", 2, "W", "laser", None),
    ("fr", "le laser à deux watts", 2, "W", "laser", None),
    ("en", "the laser at a hundred milliseconds", 100, "ms", "laser", None),
    ("fr", "le laser à cent millisecondes", 100, "ms", "laser", None),
    ("en", "the laser at forty millijoules", 40, "mJ", "laser", None),
    ("fr", "le laser à quarante millijoules", 40, "mJ", "laser", None),
    # Outside what can be: the heard value stays.
    ("en", "a piston of forty-five millimetres", 45, "mm", "stapes-piston", False),
    ("fr", "un piston de quarante-cinq millimètres", 45, "mm", "stapes-piston", False),
    ("en", "a porp of twenty-five millimetres", 25, "mm", "porp", False),
    ("fr", "une prothèse partielle de vingt-cinq millimètres", 25, "mm", "porp", False),
    ("en", "the fenestra is four millimetres", 4, "mm", "stapedotomy-fenestra", False),
    ("fr", "la platinotomie fait quatre millimètres", 4, "mm", "stapedotomy-fenestra", False),
    ("en", "the facial nerve answers at five milliamps", 5, "mA", "facial-nerve", False),
    ("fr", "un rinne de quatre-vingt-cinq décibels", 85, "dB", "air-bone-gap", False),
]


def read(lang: Lang, text: str) -> tuple[Measurement, ...]:
    """Read one sentence."""
    lexicon = load()
    return read_measurements(find_mentions(say(lang, text), lexicon), lexicon).measurements


@pytest.mark.parametrize(("lang", "text", "value", "unit", "of", "plausible"), ROWS, ids=[row[1] for row in ROWS])
def test_each_dimension_is_read(
    lang: Lang, text: str, value: float, unit: str, of: str, plausible: bool | None
) -> None:
    found = [(m.value, m.unit, m.of, m.plausible) for m in read(lang, text)]
    assert found == [(value, unit, of, plausible)]
