"""What the invariants txt-1 and txt-2 ask of the text of a resource (HL7 FHIR R4 4.0.1, "Narrative").

The definitions only name them, `htmlChecks()`. What they ask stands in the specification: well-formed XHTML
of plain formatting, which can neither act nor fetch anything but an image, and which says something.
"""

from xml.etree import ElementTree

XHTML = "{http://www.w3.org/1999/xhtml}"
# HTML 4.0, chapters 7 to 11 (of 9 not section 4) and 15; besides `a` and images.
TAGS = set(
    """a abbr acronym b big blockquote br caption cite code col colgroup dd dfn div dl dt em h1 h2 h3 h4 h5 h6
    hr i img kbd li ol p pre q samp small span strong sub sup table tbody td tfoot th thead tr tt ul
    var""".split()
)
ATTRIBUTES = set(
    """abbr align alt axis bgcolor border cellpadding cellspacing char charoff class colspan dir headers
    height href hspace id lang name nowrap rowspan rules scope src start style summary title type valign
    value vspace width {http://www.w3.org/XML/1998/namespace}lang""".split()
)


def plain_and_not_empty(div):
    """Whether a `div`, as it stands in the JSON, may be the text of a resource."""
    try:
        root = ElementTree.fromstring(div)
    except (ElementTree.ParseError, TypeError):
        return False
    for element in root.iter():
        space, name = element.tag[: len(XHTML)], element.tag[len(XHTML) :]
        if space != XHTML or name not in TAGS or not set(element.attrib) <= ATTRIBUTES:
            return False
    says_something = "".join(root.itertext()).strip() or root.find(f".//{XHTML}img") is not None
    return root.tag == XHTML + "div" and bool(says_something)
