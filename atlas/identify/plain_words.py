"""Everyday words: never corrected to a word of the trade, and of no weight in a search."""

_EVERYDAY = """
a able about above across actually add after again against ago ahead all almost along already also
although always am an and another any anybody anyone anything anyway anywhere apparently appears
are around as ask asked at attached away back bad barely basically be because been before behind
being believe below beside besides best better between beyond big bit bits blurred blurry both
bottom bought bring brought but by call called came camera can can't cannot car care cars case
cause certain certainly check circa clear clearly close colleague come comes coming common complete
completely corner could couldn't couple course customer cut day days deal definitely did didn't
difference different directly do does doesn't doing don't done down dunno during each early easily
easy either else end ends enough entire especially essentially etc even ever every everything
exact exactly example expect extremely fact fairly far feel feels felt few figure find fine first
fit fix flat for forum found friend from front full further garage gave general get gets getting
give given go goes going gone good got great guess guessing guy had hand happen happened happens
hard hardly has have having he hear heard help hence her here hers hi high highly him his hold
home honestly hope how however i idea if image in inch inches inside instead into is isn't it its
itself job jobs just keep kind knew know known knows laser last later latter learn learned least
leave left less let let's lift lifted light like likely line little long look looked looking looks
lot lots low lower made main mainly make makes making man manual many mate matter may maybe me
mean means meant mechanic meet meeting meets mention might mind mine minute moment month more
morning most mostly much must my named names near nearly need needs neither never new next nice no
none nor normal not note nothing noticed now number obviously odd of off often oh ok okay old on
once one ones only onto opposite or ordinary original other others otherwise ought our ours out
outer over own owner pair part particular parts passes people perfect perhaps person photo pic
picture piece place please plus point possible prefer pretty previous probably problem proper
properly purpose put question quick quickly quite rather read real really rear reason recently
reckon regular related remember require rest right run safe said same saw say says see seem seems
seen sees sense separate serious serve served serves set several shape she should show shown shows
side similar simple simply since single sit sits size slight slightly small so some somehow
someone something somewhat somewhere soon sorry sort spend spot stand standard stands start stays
stick still stop stops strange student stuff such suggest suppose supposed sure suspect swear take
taken takes taking teacher teardown technical tell tells than thank
thanks that that's the their them then
there there's these they thing things think thinks third this those though thought through time
times to today together told too top touch toward towards tried true try turn turned turns two
type under underneath understand unit unless until unusual up upon us use used uses using usual
usually various vehicle version very via video view visible wait want was wasn't watch way we
weird well went were what whatever whatsoever when where whereas whether which while who whole
whose why wide wife will wish with within without won't wonder word words work works workshop
world worse worth would wouldn't write wrong wrote year years yes yesterday yet you your
aint arent cant couldnt didnt doesnt dont hasnt havent isnt thats theres theyre wasnt whats wont
wouldnt
"""
EVERYDAY = frozenset(_EVERYDAY.split())

# Words that say nothing of the structure, left out of a full-text search.
_EMPTY = """
a able about actually after again all almost also am an and any anything are around as at away be
because been being but by call called can can't cannot car cars could did didn't do does doesn't
doing don't done each else etc even ever every for from get gets give go goes going got had has
have having he her here him his how i idea if in into is isn't it it's its itself just kind know
let like look looking looks lot made make makes maybe me mean might more most much must my need no
nor not now of off ok on one only or other our out own part parts perhaps piece probably quite
rather really same say says see seem seems seen she should so some someone something sort still
such sure take tell than that that's the their them then there there's these they thing things
think this those though thought through to too type up us use used using vehicle very want was
wasn't way we well were what when where which while who why will with within without would yes yet
you your
"""
EMPTY = frozenset(_EMPTY.split())
