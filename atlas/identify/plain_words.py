"""Everyday words: never corrected to a word of the trade, and of no weight in a search."""

EVERYDAY = frozenset(
    """
a able about actually add after again against ago all almost along already also although always am
an and any anyone anything are around as ask asked at away back bad basically be because been before
being believe best better big bit both bottom bought bring brought but by call called came can cannot
can't car cars care case cause certain check clear clearly close come comes coming common could
couldn't couple course cut day days deal did didn't different do does doesn't doing done don't down
during each early easy either else end ends enough especially etc even ever every everything exactly
example expect fact fairly far feel feels few find fine first fit fix flat for found from front full
further gave general get gets getting give given go goes going gone good got great guess guy had hand
happen hard has have having he help her here hers hi high him his hold home hope how however i idea if
in inch inches inside instead into is isn't it its itself job just keep kind know known last later
least leave left less let like likely line little long look looked looking looks lot low lower made
main make makes making man many may maybe me mean means might mine more most mostly much must my near
need never new next nice no none nor normal not nothing now of off often oh ok okay old on once one
only onto or other others our out over own part parts people perhaps photo picture piece place point
possible pretty probably problem purpose put quite rather real really reason right run said same saw
say says see seem seems seen sense set several shape she should show shows side simply since sit sits
small so some somehow someone something sort start still stuff such suppose sure take taken tell
than thank thanks that that's the their them then there there's these they thing things think this
those though thought through to together told too top towards tried try turn two type under until up
upon us use used uses using usual usually very want was wasn't way we well went were what whatever
when where whether which while who whole whose why will with within without won't wonder work works
would wouldn't yes yet you your anybody apparently appears beside besides beyond blurry blurred
camera certainly colleague complete completely completely corner definitely difference directly
dunno easily entire essentially extremely felt figure forum friend garage hence highly honestly hope
image instead job jobs later laser latter learn lift lifted light mainly manual mate matter mechanic
meant mention mind minute moment month morning neither nearly note noticed number obviously odd
opposite ordinary original otherwise ought outer owner pair particular perfect person pic please plus
prefer previous proper properly question quick quickly reckon recently regular related remember
require rest safe seems serious sees sense separate side similar single size slight slightly
somewhat soon sorry spend standard stand stands strange student suggest supposed suspect swear teacher
teardown there third thought time times today touch toward true under understand unless unusual
various vehicle version via video view visible wait watch weird whereas wide wife wish within word
words world worse worth wrong year years yesterday workshop customer whatsoever anyway means meet
meets meeting serve serves served hear heard read lots bits hardly barely cannot exact guessing
happens happened knows knew learned left let's looks mine named names needs old ones our ours passes
shown simple somewhere spot stays stick stop stops takes taking tells thinks turned turns unit went
write wrote rear below above behind between across underneath ahead another attached anywhere
""".split()
)

# Words that say nothing of the structure, left out of a full-text search.
EMPTY = frozenset(
    """
a able about actually after again all almost also am an and any anything are around as at away be
because been being but by call called can cannot can't car cars could did didn't do does doesn't
doing done don't each else etc even ever every for from get gets give go goes going got had has have
having he her here him his how i idea if in into is isn't it it's its itself just kind know let like
look looking looks lot made make makes maybe me mean might more most much must my need no nor not now
of off ok on one only or other our out own part parts perhaps piece probably quite rather really
same say says see seem seems seen she should so some someone something sort still such sure take
tell than that that's the their them then there there's these they thing things think this those
though thought through to too type up us use used using very want was wasn't way we well were what
when where which while who why will with within would yes yet you your with without vehicle
""".split()
)
