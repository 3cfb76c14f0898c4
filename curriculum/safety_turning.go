package curriculum

func does(texts ...string) []Action {
	out := make([]Action, len(texts))
	for i, t := range texts {
		out[i].Text = t
	}
	return out
}

var turningSituations = []Situation{
	{
		ID: "filing-sleeve", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"You want to break the sharp edges of {part} with a file while it turns on {lathe}; your pullover has long sleeves.", "The edges of {part} on {lathe} are to be filed with the spindle turning. You wear a loose, long-sleeved top."},
		Right: does("Take the pullover off or fasten the sleeves above the elbow before the spindle turns.", "File left-handed so that no arm reaches over the chuck.", "Use a file with a firm handle at low speed.", "Break the edges with the tool set at an angle instead of a file."),
		Wrong: []Action{
			{"reach", "File right-handed and keep the left elbow high over the chuck.", "An arm over the chuck is where its jaws catch a sleeve."},
			{"roll", "Push the sleeves up a little since they stay there for such a short job.", "A loose sleeve slips down while both hands are busy with the file."},
			{"bare-tang", "Take the handle off the file so that the blade lies nearer to the work.", "The jaws kick the file back, and its bare tang goes into the palm."},
			{"faster", "Choose a high speed so that the filing is over sooner.", "At high speed a caught sleeve leaves no time at all, and the file skates."},
		},
		Hazard: "A machinist was killed when his sleeve was caught by the chuck while he filed a bar.", Source: sourceNJ,
	},
	{
		ID: "bar-behind", Skill: SafeTurning, Topic: "holding",
		Says:  []string{"A long bar of {metal}, {size} thick, is put through the spindle of {lathe}; it sticks out a metre behind the headstock.", "Behind the headstock of {lathe} a metre of {metal} bar, {size} thick, hangs free."},
		Right: does("Cut the bar so that it ends inside the spindle.", "Support and guard the bar behind the headstock before the spindle turns.", "Keep the way behind the headstock barred while the bar turns.", "Ask the supervisor for a bar support and a guard, and wait for them."),
		Wrong: []Action{
			{"slow-start", "Start at the lowest speed and go up step by step as long as nothing shakes.", "Unsupported bar stays straight until it suddenly bends and lashes out."},
			{"look", "Walk round and look at the end of the bar when it begins to rattle.", "A machinist was killed by the bent bar when he went to look: stop the spindle from where you are."},
			{"flag", "Tie a coloured rag to the end before starting so that everybody sees the bar.", "A rag on a turning bar winds up whatever touches it."},
			{"person", "Have somebody hold a wooden block under the turning bar.", "Nobody may be within reach of a bar that can bend."},
		},
		Hazard: "Unsupported bar behind a spindle bends and strikes; a man of 27 was killed by one.", Source: sourceWA,
	},
	{
		ID: "bar-burr", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"A short end of sawn bar sticks out at the tail end of {lathe}; the shelf with the tools is behind it.", "At the tailstock end of {lathe} a burred bar end turns, and the drill that you need lies on the shelf beyond it."},
		Right: does("Stop the spindle and then go to the shelf.", "Walk round the lathe, never past the turning end.", "File off the burr and guard the end while it stands.", "Move the tools to a place that needs no reaching past the lathe."),
		Wrong: []Action{
			{"lean", "Lean over quickly because the piece that sticks out is only short.", "A stub of less than two inches with a burr caught a shirt and strangled the man who wore it."},
			{"tuck", "Hold the shirt flat with one hand and reach past with the other.", "A hand full of cloth beside a turning burr is one more thing to catch."},
			{"smooth", "Reach past the bar when the spindle turns slowly and nothing can catch.", "Slow work catches as surely as fast work, and pulls on."},
		},
		Hazard: "A shirt caught on a burred bar end tightened at the wearer's neck; he died of it.", Source: sourceMI,
	},
	{
		ID: "glove-grab", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"While {part} turns on {lathe} you see that your glove lies on the headstock, near the turning end of the spindle.", "Your gloves lie on top of the headstock of {lathe}, beside the turning work."},
		Right: does("Leave them until the spindle stands.", "Stop the spindle and wait and only then take them.", "From now on keep the headstock clear of everything.", "Put the gloves away: at the lathe they are not worn."),
		Wrong: []Action{
			{"quick", "Take them with a quick hand from above, well away from the work.", "A machinist who reached for a glove was pulled in by his sleeve."},
			{"behind", "Go round and reach them from behind the headstock.", "Clamps and spindle ends turn there as well, mostly without a guard."},
			{"wear", "Put them on now because the swarf is hot and the hands are near it.", "A glove is caught whole, with the hand in it, and does not tear."},
			{"hook", "Pull them off with the swarf hook while the work turns.", "Whatever drops onto turning work is wound up, the hook and the hand with it."},
		},
		Hazard: "A machinist who grabbed for a glove was pulled into the lathe and killed.", Source: sourceKY,
	},
	{
		ID: "gloves-swarf", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"Long blue swarf from {part} curls round the work and the tool post of {lathe}.", "Turning {metal} on {lathe} makes a nest of long chips that turns with the work."},
		Right: does("Stop the spindle and then pull the chips away with a hook.", "Change feed, depth or tool so that chips break.", "Keep clear of the nest until the spindle stands.", "Wear eye protection while clearing as well."),
		Wrong: []Action{
			{"gloves", "Put on leather gloves and pull the nest off before the chips wind tight.", "A glove was caught by a clamp and pulled its wearer into the machine; chips catch it just as well."},
			{"hook-running", "Use the hook with the spindle turning slowly, which is what hooks are for.", "Caught by the nest, the hook is torn round with the hand behind it."},
			{"air", "Blow the nest away with compressed air.", "Air drives chips into eyes and under guards, and the nest stays."},
			{"rag", "Wrap a rag round the hand and strip the chip off toward the tailstock.", "A rag is wound up with the chip, and the hand with the rag."},
		},
		Hazard: "Turning swarf pulls in gloves, rags and hands.", Source: sourceWI,
	},
	{
		ID: "emery-hand", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"The surface of {part} is to be polished on {lathe} with abrasive cloth.", "A bright finish is wanted on {part}, {size} in diameter, and emery cloth lies on {lathe}."},
		Right: does("Fix the cloth in a holder or on a flat stick that can let go.", "Cover the bed and keep sleeves and fingers away from the work.", "Take a finishing cut with a sharp tool so that no cloth is needed.", "Ask whether polishing by hand is allowed here at all."),
		Wrong: []Action{
			{"wrap", "Wrap a strip once round the work and pull both ends evenly.", "The strip tightens and takes the hands round: an arm was broken that way."},
			{"loop", "Wind the strip round two fingers so that it does not slip out.", "What is wound round fingers takes them along when it grabs."},
			{"gloves", "Hold the cloth with gloves because the work gets hot.", "Gloves are caught with the cloth and do not let go."},
			{"inside", "Polish the bore with the cloth round a finger.", "A finger in a turning bore is broken at the first grab."},
		},
		Hazard: "Emery cloth in the hand is grabbed by the work and breaks fingers and arms.", Source: sourceMCA,
	},
	{
		ID: "stop-button", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"You are about to use {lathe}, which you have not used before. It has a red button, a foot bar and a lever.", "{lathe} is new to you: there is a red button on its headstock, a lever on the apron and a bar at the foot."},
		Right: does("Try with the spindle turning free which of them stops it, and how long it runs on.", "Have somebody who is signed off on this lathe show all of its controls.", "Find the isolator and see that you can reach it.", "Tell the second person in the room how this lathe is stopped."),
		Wrong: []Action{
			{"red", "Rely on the red button because on every machine red means emergency stop.", "On an old lathe the red button was none, and the spindle went on turning with a man in it."},
			{"same", "Go by the lathe that you know because controls are arranged alike everywhere.", "Levers of two makes can do opposite things."},
			{"later", "Begin the job and try the stop at the first need.", "Whoever needs the stop has no time to find out which it is."},
		},
		Hazard: "A co-worker pressed a red button that was no emergency stop while a machinist was being killed.", Source: sourceJourneyman,
	},
	{
		ID: "alone-evening", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"It is late, everybody else has gone home, and {part} needs only one more cut on {lathe}.", "One cut is missing on {part}. The workshop is empty but for you, and {lathe} is still set up."},
		Right: does("Leave the cut for a time when a second person is there.", "Isolate the lathe, leave a note at it and go.", "Ring the second person and begin only when they are in the room."),
		Wrong: []Action{
			{"quick", "Take the cut, but keep a phone in the pocket.", "Nobody who is caught can telephone; a student alone at night died at a lathe."},
			{"door", "Leave the door open, so that somebody passing would hear.", "Being heard from the corridor stops no spindle."},
			{"slow", "Take the cut at the lowest speed, where one person is enough.", "A slow lathe pulls in as surely, and nobody is there to stop it."},
		},
		Hazard: "A student working alone at night was killed by a lathe and found in the morning.", Source: sourceOSHA,
	},
	{
		ID: "hair-hood", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"Somebody with long hair and a hooded top with cords wants to watch closely how {part} is turned.", "A visitor comes close to {lathe}: long hair, a lanyard round the neck."},
		Right: does("Have hair up and covered, cords and lanyard off, or keep them behind the line.", "Stop the spindle until the visitor is dressed or out of reach.", "Give the visitor eye protection, and a place away from the tail end as well."),
		Wrong: []Action{
			{"hold", "Let them hold hair and cords back with one hand while they lean in from the tail end.", "A hand lets go the moment something surprising happens."},
			{"glasses", "Give them safety glasses and let them stand close beside you at the carriage.", "Glasses guard eyes; hair and cords are still within reach of the work."},
			{"screw", "Let them stand at the apron where only the leadscrew turns and not the work itself.", "An exposed leadscrew caught hair and killed its owner."},
		},
		Hazard: "Hair and cords are wound up by work, leadscrew and feed rod in less than a second.", Source: sourceOSHA,
	},
	{
		ID: "key-in-chuck", Skill: SafeTurning, Topic: "holding",
		Says:  []string{"You tighten {part} in the chuck of {lathe}; the micrometer lies at the other end of the bench.", "{part} is nearly clamped in {lathe} when somebody calls you away."},
		Right: does("Take the key out of the chuck before letting go of it.", "Put the key in its place and then go.", "On coming back look at the chuck before touching the start lever."),
		Wrong: []Action{
			{"short", "Leave the key in the chuck so that everybody sees that clamping is not finished.", "The key is thrown when the spindle starts, and it starts by a knock on a lever too."},
			{"neighbour", "Leave the key in and ask the neighbour to watch that nobody starts.", "A key that is in the chuck is one inattentive second from flying."},
			{"off", "Leave the key in, since nothing happens before somebody starts the spindle.", "A stopped lathe starts at the next touch of its lever; a hand lets go of the key only outside the chuck."},
		},
		Hazard: "A chuck key that is left in is thrown across the room when the spindle starts.", Source: sourceHSG,
	},
	{
		ID: "overhang", Skill: SafeTurning, Topic: "holding",
		Says:  []string{"{part} sticks out of the chuck by eight times its diameter, and the first cut begins to chatter.", "A thin piece of {metal} reaches far out of the chuck of {lathe} without support; it sings under the cut."},
		Right: does("Stop and support the free end with a centre or a steady.", "Clamp more of its length and turn it in two settings.", "Take the tool out of the cut and then stop."),
		Wrong: []Action{
			{"faster", "Raise the speed until the chatter goes away.", "Fast, thin work climbs the tool, bends and is thrown."},
			{"hand", "Steady the end with a block of wood pressed on by hand.", "A hand beside turning work is pulled in when the work climbs."},
			{"tighten", "Tighten the chuck harder with a pipe on its key.", "The jaws mark or crack, and the free end bends as before."},
		},
		Hazard: "Unsupported work bends, climbs onto the tool and is thrown out of the chuck.", Source: sourceHSG,
	},
	{
		ID: "turn-by-hand", Skill: SafeTurning, Topic: "holding",
		Says:  []string{"{part} has just been clamped on {lathe}, with two jaws opened far, and the first cut goes close to the chuck.", "The jaws of {lathe} stand out beyond the chuck's body and the cut will end near them."},
		Right: does("With the lathe isolated, turn the chuck once by hand with the tool at the end of its travel.", "Set a carriage stop in front of the jaws.", "Use other jaws or another holding, so that they do not stand out."),
		Wrong: []Action{
			{"eye", "Judge the gap between jaws and slide by eye while the spindle turns slowly.", "Turning jaws cannot be seen: the gap looks larger than it is."},
			{"feel", "Feel with a finger whether the jaws pass the slide.", "Jaws that are feared to touch the slide will touch the finger first."},
			{"power", "Switch on at full speed for a second and listen whether jaws and slide make contact.", "At full speed the first contact throws jaws or tool."},
		},
		Hazard: "Jaws that strike slide or tool are torn out of the chuck.", Source: CommonPractice,
	},
	{
		ID: "measure-turning", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"The diameter of {part}, about {size}, has to be checked between two cuts on {lathe}.", "Between cuts you want to know how thick {part} is now; the spindle of {lathe} is turning."},
		Right: does("Stop the spindle and wait until it stands before measuring.", "Wind the tool well away from where the hands will be.", "See that the start lever cannot be knocked while you measure."),
		Wrong: []Action{
			{"caliper", "Lay the caliper on lightly with the spindle at its lowest speed.", "The caliper is grabbed and thrown, and the hand goes with it."},
			{"coast", "Measure while the work runs down because it is no longer driven then.", "Work that runs down has force enough to take caliper and fingers."},
			{"tool-there", "Measure with the tool left at the work, so that the setting is as before.", "The wrist then moves along a sharp edge: the collar keeps the setting, not the tool's place."},
			{"brake", "Brake the chuck with the palm so that it stands sooner.", "A palm on a turning chuck is burnt, or taken by a jaw."},
		},
		Hazard: "Measuring tools are grabbed by turning work, and hands follow them.", Source: sourceArmy,
	},
	{
		ID: "brake-by-hand", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"{lathe} has no brake and its heavy chuck runs on for many turns after each stop.", "After switching off, the chuck of {lathe} takes half a minute to stand, and many parts are to be made."},
		Right: does("Wait until it stands by itself.", "Use the waiting time for the next reading on the plan, hands away.", "Ask the supervisor whether a brake can be fitted."),
		Wrong: []Action{
			{"palm", "Slow the chuck with a flat hand on its smooth rim.", "The rim ends where the jaws begin, and the hand is drawn to them."},
			{"rag", "Press a thick rag on the chuck.", "The rag is caught by a jaw and pulls the hand in."},
			{"reverse", "Put the lever into reverse for a moment as a brake.", "Reversed at speed a screwed-on chuck can unwind, and the drive is damaged."},
			{"wood", "Lay a piece of wood on the chuck, as one does in a woodworking shop.", "Wood on a jaw becomes a lever that strikes back."},
		},
		Hazard: "Hands on a running-down chuck are burnt and caught.", Source: sourceArmy,
	},
	{
		ID: "tool-change", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"The tool on {lathe} has to be turned to another edge in the middle of the job on {part}.", "A dull tool is to be changed; {part} still turns."},
		Right: does("Stop the spindle and isolate before loosening the tool post.", "Move the carriage away from the work first.", "Set the new edge to centre height and try it clear of the work."),
		Wrong: []Action{
			{"running", "Loosen the post with the spindle turning, the work is a hand's width away.", "The wrench slips toward the work, and the hand behind it."},
			{"neutral", "Only put the feed out since the spindle does no harm there.", "What turns is what catches; the feed was never the danger to the hand."},
			{"edge", "Hold the old tool by its edge to feel how dull that is.", "A dull edge is still sharp enough to open a finger."},
		},
		Hazard: "A slipping wrench takes the hand into the turning work.", Source: sourceArmy,
	},
	{
		ID: "adjust-chuck", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"{part} runs out in the four-jaw chuck of {lathe} and the jaws must be adjusted again and again.", "Centring {part} in the four-jaw chuck of {lathe} takes a dozen small corrections."},
		Right: does("Isolate, or put the gear in neutral with the power off, for the whole of it.", "Take the key out after each correction.", "Turn the chuck by hand to read the indicator."),
		Wrong: []Action{
			{"jog", "Let the motor jog the chuck round between corrections, with the key ready in the hand.", "A jog with a hand near jaw and key is a start like any other."},
			{"key-stays", "Leave the key in the screw that will be next.", "Forgotten once, it is thrown at the next start."},
			{"loose", "Leave the opposite jaw loose until the work is true, then start and look.", "Work that is held by three jaws of four comes out."},
		},
		Hazard: "A knock on the start lever turns the chuck under the hands.", Source: sourceNavy,
	},
	{
		ID: "heavy-chuck", Skill: SafeTurning, Topic: "holding",
		Says:  []string{"The large chuck of {lathe} is to be changed for a faceplate.", "A chuck that weighs as much as a sack of cement has to come off {lathe}."},
		Right: does("Isolate the lathe before anything is loosened.", "Lay a board or cradle across the bed under the chuck.", "Get a second person or the hoist."),
		Wrong: []Action{
			{"motor", "Lock the chuck with a bar on the bed and let the motor do the unscrewing.", "The bar is thrown or the gear breaks when the thread gives."},
			{"knee", "Take the weight on a knee while the last thread comes free.", "It drops in one go, onto hand, knee and bed."},
			{"soon", "Leave the power on, because the spindle must be turned a little to reach the screws.", "A touch on the lever turns spindle and wrench with your hands on them: turn it by hand."},
		},
		Hazard: "A falling chuck crushes fingers and damages the bed.", Source: CommonPractice,
	},
	{
		ID: "eyes", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"You only want to see how the neighbour turns {part}; {metal} chips fly off short and hot.", "The neighbour at {lathe} turns {metal}, and you walk past to the store."},
		Right: does("Wear eye protection near any lathe and not only when turning yourself.", "Walk round behind the chip guard.", "Ask the neighbour to pull the chip guard down."),
		Wrong: []Action{
			{"own", "Go without because only those who work at the lathe need glasses.", "Chips fly to whoever is near, and a watcher's eyes are at their height."},
			{"reading", "Ordinary spectacles are enough for a look.", "Spectacles are open at the sides and their lenses may break."},
			{"squint", "Look with eyes half shut from one step away.", "A hot chip is faster than an eyelid."},
		},
		Hazard: "Short chips of brass and cast iron fly far and hot.", Source: sourceNavy,
	},
	{
		ID: "phones", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"Somebody turns {part} with earphones in, because {lathe} is loud.", "It is loud in the workshop and you have music in your ears while {lathe} roughs {metal}."},
		Right: does("Take the earphones out and wear proper ear defenders if it is too loud.", "Stay able to hear the cut and a shout.", "Answer a phone only with the spindle stopped."),
		Wrong: []Action{
			{"one-ear", "Keep one in since the other ear is enough.", "The cord or the music is still there when the call to stop comes."},
			{"quiet", "Turn the music down, so that a shout might get through.", "Might is not enough: the sound of the cut tells first that something goes wrong."},
			{"speaker", "Hold the phone between shoulder and ear and keep a hand on the feed.", "A phone that drops toward the work is followed by a hand."},
		},
		Hazard: "Who does not hear the cut or the shout stops too late.", Source: sourceWorkshop,
	},
	{
		ID: "ring-watch", Skill: SafeTurning, Topic: "catching",
		Says:  []string{"You come to {lathe} with a ring that does not come off and a wrist watch.", "A learner at {lathe} wears a ring, a bracelet and a watch."},
		Right: does("Take them off at the door and leave them there.", "Do not use the lathe while a ring cannot be taken off; ask the supervisor.", "Check the neighbour at the start as well."),
		Wrong: []Action{
			{"tape", "Tape over the ring so that it cannot catch.", "Tape tears or is caught itself; the ring still pulls the finger off."},
			{"glove", "Wear a thin glove over ring and watch.", "A glove is caught far more easily than a ring."},
			{"left", "Keep the ring on the left hand, which only rests on the carriage.", "Hands change places without being asked."},
		},
		Hazard: "A ring that catches takes the finger with it.", Source: sourceNavy,
	},
	{
		ID: "leave-running", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"A long cut on {part} has begun under power feed, and you are called to the door.", "{lathe} is cutting {part} with the feed in; it will take four minutes, and the telephone rings."},
		Right: does("Stop feed and spindle before leaving.", "Stay at the lathe until the cut is over.", "Have somebody who is signed off on this lathe take your place."),
		Wrong: []Action{
			{"stop-set", "Go because the carriage stop will end the cut.", "The stop ends the travel, not the spindle, and it does not see a broken tool."},
			{"look-back", "Go as far as the door and keep an eye on the work.", "From the door nobody reaches the stop."},
			{"friend", "Ask a learner who has been here before to watch the lathe.", "Who is not signed off cannot know what to watch for, nor how to stop it."},
		},
		Hazard: "An unattended lathe runs tool and carriage into the chuck.", Source: sourceWorkshop,
	},
	{
		ID: "tailstock-drill", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"The drill in the tailstock of {lathe} has seized in the bore of {part}, and its chuck begins to turn.", "While {part} is drilled on {lathe} the drill grabs and the drill chuck slips in the tailstock."},
		Right: does("Stop the spindle at once.", "Hands off the drill chuck; free the drill when all stands.", "Afterwards drill in shorter steps, clear chips and use a drill with a tang that holds."),
		Wrong: []Action{
			{"hold", "Hold the drill chuck tight with the hand until the taper catches again.", "The hand is twisted with the chuck, and the drill's key or arm strikes."},
			{"back", "Wind the tailstock back quickly with the spindle turning.", "The drill stays in the work and whips round when it leaves the tailstock."},
			{"unlock", "Slide the unlocked tailstock back together with the drill.", "A tailstock that is loose with a turning drill in it swings out of control."},
		},
		Hazard: "A seized drill turns with the work and whips or twists the hand.", Source: CommonPractice,
	},
	{
		ID: "parting-jam", Skill: SafeTurning, Topic: "hands",
		Says:  []string{"While {part} is parted off on {lathe}, the blade jams and the motor stalls, still switched on.", "The parting blade sticks in {metal}; the spindle of {lathe} stands and its motor hums."},
		Right: does("Switch off and isolate at once.", "Turn the chuck backwards by hand, isolated, to free the blade.", "Look at the work's hold and at the blade when it is free."),
		Wrong: []Action{
			{"pull", "Wind the blade out quickly while the motor still pulls.", "Freed under power, the spindle jumps to speed with your hands at the slide."},
			{"strike", "Knock the blade loose with a mallet.", "Hard blades shatter, and the work may turn the moment it comes free."},
			{"more", "Feed on gently until the motor pulls as before.", "The blade breaks or the work is pulled out of the chuck."},
		},
		Hazard: "A stalled lathe that is still switched on starts the moment it is freed.", Source: CommonPractice,
	},
	{
		ID: "oil-floor", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"Coolant has spread over the floor in front of {lathe}, and {part} is to be finished today.", "In front of {lathe} the floor is oily and chips lie about; the next cut is set."},
		Right: does("Stop and clean the floor first.", "Sweep chips with a brush, wipe up the oil, then go on.", "Find where the coolant runs out and turn it down."),
		Wrong: []Action{
			{"careful", "Work on with feet well apart.", "Who slips at a lathe falls toward the work."},
			{"sawdust-running", "Strew sawdust with one hand while the feed is in.", "Bending down beside turning work brings head and sleeve to it."},
			{"rag-foot", "Lay a rag on the wet place to stand on.", "A rag on oil slides, and the foot with it."},
		},
		Hazard: "Whoever slips in front of a lathe reaches for what turns.", Source: sourceNavy,
	},
	{
		ID: "feed-in", Skill: SafeTurning, Topic: "ready",
		Says:  []string{"You come to {lathe}, and do not know who used it last. {part} is to be turned.", "The last user of {lathe} has gone; its levers are as they were left."},
		Right: does("Put feeds and half-nut out and look at every lever while it stands.", "Look at how the work is held and where the key is.", "Begin at a low speed with the tool clear of the work."),
		Wrong: []Action{
			{"try", "Switch on and see what moves, then set the levers.", "A carriage with its feed left in goes into the chuck while you look for the lever."},
			{"trust", "Take all as set because signed-off users leave a lathe in order.", "The next user finds what the last one forgot: look."},
			{"speed", "Start at the speed that was used just before, on the last job.", "It was set for other work, perhaps far too fast for this."},
		},
		Hazard: "A lathe that was left with its feed in moves at once when it is switched on.", Source: CommonPractice,
	},
}
