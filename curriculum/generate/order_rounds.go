package generate

import "halfnut/threadmath"

// The ends of a pass with the half-nut closed. In front of a groove the spindle
// is stopped first, then the tool withdrawn, then the spindle reversed (Jones,
// Turning and Boring, 1914): what the carriage runs on counts against the groove,
// and in the groove the tool harms nothing. On a mark alone the same order drags
// the tool through uncut metal while the spindle runs down: there the hand acts
// at the mark, and the room beyond it takes what the carriage still runs on
// (common practice, no source).
var closedEnds = []ending{
	{
		says: []string{
			"The thread ends in a groove, with a shoulder behind it.",
			"Behind the thread lies a groove, and behind the groove a shoulder.",
			"Each pass runs out into a groove in front of a shoulder.",
		},
		deeds: [2]deed{
			stopDeed("the spindle stands, the tool still in the groove"),
			withdrawDeed("the tool is out of the groove, the spindle stands"),
		},
		needs: []need{{"stop", "withdraw", "overrun"}},
	},
	{
		says: []string{
			"There is no groove: the thread ends at a mark on plain stock, with free room beyond it for the carriage to run on.",
			"The thread ends at a mark alone, without a groove; beyond it the carriage has room enough to run on.",
			"No groove is cut. A mark on the work shows where the thread ends, and nothing is in the carriage's way for some leads beyond it.",
		},
		deeds: [2]deed{
			withdrawDeed("the tool is out of the work at the mark, the spindle still running down"),
			stopDeed("the spindle stands, the tool out of the work"),
		},
		needs: []need{{"withdraw", "stop", "dragged-on"}},
	},
}

func stopDeed(then string) deed {
	return deed{"stop", []string{"Stop the spindle and wait until it stands.", "Bring the spindle to a standstill."}, then}
}

func withdrawDeed(then string) deed {
	return deed{"withdraw", []string{"Withdraw the tool clear of the work.", "Wind the tool out until it is clear of the thread."}, then}
}

// The ends of a pass whose half-nut is opened; reasons as above.
var openedEnds = []ending{
	{
		says: closedEnds[0].says,
		deeds: [2]deed{
			openDeed("the half-nut has just been opened, the tool still in the groove"),
			withdrawDeed("the tool is out of the groove, the half-nut open"),
		},
		needs: []need{{"open", "withdraw", "overrun"}},
	},
	{
		says: closedEnds[1].says,
		deeds: [2]deed{
			withdrawDeed("the tool is out of the work at the mark, the half-nut still closed"),
			openDeed("the half-nut has been opened, the tool out of the work"),
		},
		needs: []need{{"withdraw", "open", "ring-cut"}},
	},
}

func openDeed(then string) deed {
	return deed{"open", []string{"Open the half-nut.", "Lift the half-nut lever."}, then}
}

// Deeds and needs that several rounds share.
var (
	cutDeed   = deed{"cut", []string{"Cut the start, pass by pass, until its last pass is under way.", "Take the passes of the start, up to and with the last one."}, "the last pass of a start is being cut"}
	clearDeed = deed{"clear", []string{
		"See that the tool clears the work where it now is, and wind the infeed back to its starting reading.",
		"Where the work now is, wind the infeed back to its starting reading and look that nothing touches.",
	}, "the infeed is back at its starting reading and the tool clear of the work as it now is"}
	scratchDeed = deed{"scratch", []string{"Switch on and scratch the new start lightly.", "With the lathe running again, take a light scratch of the new start."}, "the new start has just been scratched: the spindle still turns, the tool is clear"}
	measureDeed = deed{"measure", []string{"Stop, and measure from a finished groove to the scratch.", "Measure the scratch against a finished groove, the spindle stopped for it."}, "the scratch has been measured and is where it should be"}
	isolateDeed = deed{"isolate", []string{"Isolate the lathe.", "Turn off the isolator and lock it."}, "the lathe is isolated"}

	startNeeds = []need{
		{"cut", "stop", "not-cut-yet"}, {"cut", "withdraw", "not-cut-yet"},
		{"clear", "scratch", "infeed-not-back"}, {"scratch", "measure", "no-scratch-of-start"}, {"measure", "cut", "spacing-unchecked"},
	}
)

// orderRounds are the procedures. Isolating, winding back and checking again
// after every index, measuring at a standstill: common practice, no source.
var orderRounds = []round{
	{
		name: "half-nut-closed", weight: 2, asked: 6, ends: closedEnds,
		opens: []string{"the half-nut stays closed until the thread is done.", "the half-nut is not opened before the thread is finished.", "the half-nut is kept closed from pass to pass."},
		deeds: []deed{
			{"forward", []string{"Start the spindle forward.", "Set the spindle turning forward."}, "a pass is being cut"},
			{"reverse", []string{"Reverse the spindle and let the carriage run back.", "Run the carriage back with the spindle in reverse."}, "the carriage has come back, the spindle still turning in reverse"},
			{"stop-back", []string{"Stop the reversed spindle with the tool beyond the beginning of the work.", "Once the tool is beyond the beginning of the work, stop the return."}, "the spindle stands, the tool withdrawn and beyond the beginning of the work"},
			{"infeed", []string{"Set the infeed for the next pass.", "Bring the tool in to the reading of the next pass."}, "the infeed is set for the next pass"},
		},
		at: 1,
		needs: []need{
			{"forward", "stop", "not-cut-yet"}, {"forward", "withdraw", "not-cut-yet"},
			{"withdraw", "reverse", "reversed-in-cut"}, {"stop", "reverse", "reversed-turning"},
			{"reverse", "stop-back", "not-back"}, {"reverse", "infeed", "set-in-before-return"},
			{"stop-back", "infeed", "set-in-reversing"}, {"infeed", "forward", "fed-in-late"},
		},
	},
	{
		name: "half-nut-opened", weight: 1, asked: 5, serve: serveAnyDial, ends: openedEnds,
		lathe: "a lathe whose thread dial has a line for it",
		opens: []string{"the half-nut is opened after every pass.", "from pass to pass the half-nut is opened, and closed again at that line."},
		deeds: []deed{
			{"close", []string{"Close the half-nut at its dial line.", "When the dial line comes up, close the half-nut."}, "the half-nut has been closed and a pass is being cut"},
			{"back", []string{"Wind the carriage back by hand beyond the beginning of the work.", "Return the carriage by its handwheel until it is beyond the beginning of the work."}, "the carriage has been wound back beyond the beginning of the work"},
			{"infeed", []string{"Set the infeed for the next pass.", "Bring the tool in to the reading of the next pass."}, "the infeed is set for the next pass"},
		},
		at: 1,
		needs: []need{
			{"close", "open", "not-cut-yet"}, {"close", "withdraw", "not-cut-yet"},
			{"withdraw", "back", "dragged-back"}, {"open", "back", "forced-half-nut"},
			{"back", "infeed", "set-in-before-return"}, {"infeed", "close", "fed-in-late"},
		},
	},
	{
		name: "first-cut", weight: 2, asked: 6, ends: closedEnds,
		opens: []string{
			"the lathe is being set for its lead, and no real cut has been taken. Each time that the lead is measured it proves wrong, and the setting is corrected. The half-nut stays closed.",
			"no real cut has been taken yet. The scratch shows a wrong lead whenever it is measured, so wheels and levers are set again. The half-nut is kept closed.",
		},
		deeds: []deed{
			isolateDeed,
			{"gears", []string{"Set wheels and levers for the lead.", "Correct the wheels and levers that make the lead."}, "wheels and levers have been set for the lead, the lathe still isolated"},
			{"guard", []string{"Close the guard of the train and switch on.", "Shut the train's guard, then put the lathe back under power."}, "the guard is closed and the lathe switched on again"},
			{"speed", []string{"Set a spindle speed no greater than the run-out figure of the lead that is set.", "For the lead as it is set now, work out the run-out figure and set a speed below it."}, "the speed has been set below the run-out figure"},
			{"dry", []string{"Run dry passes to the end of the thread, the tool clear of the work.", "Try some passes in the air, up to the end of the thread."}, "the dry passes have been run"},
			{"scratch", []string{"Take a light scratch over the length.", "Let the tool scratch the length lightly."}, "the scratch is being taken"},
			{"measure", []string{"Measure the lead of the scratch over several turns.", "Lay a rule along the scratch and measure the lead over several turns."}, "the lead has been measured and is wrong"},
		},
		at: 6,
		needs: []need{
			{"isolate", "gears", "not-isolated"}, {"gears", "guard", "gears-late"}, {"gears", "speed", "speed-before-lead"},
			{"guard", "dry", "guard-open"}, {"speed", "dry", "too-fast"}, {"dry", "scratch", "no-dry-pass"},
			{"scratch", "stop", "not-cut-yet"}, {"scratch", "withdraw", "not-cut-yet"}, {"scratch", "measure", "no-scratch"},
			{"stop", "measure", "measured-running"}, {"withdraw", "measure", "measured-at-tool"}, {"measure", "isolate", "lead-unchecked"},
			{"measure", "gears", "lead-unchecked"},
		},
	},
	{
		name: "next-station", weight: 2, asked: 6, serve: serveAnyHolder, ends: closedEnds,
		opens: []string{"the starts are spaced by turning the work to another station, start after start. The half-nut stays closed.", "for every start the work is moved on to its next station. The half-nut is kept closed."},
		deeds: []deed{
			cutDeed, isolateDeed,
			{"turn", []string{"Turn the work to the station of the next start.", "Move the work on to the station of the start that follows."}, "the work has been turned to the next station, the lathe still isolated"},
			clearDeed, scratchDeed, measureDeed,
		},
		at: 1,
		needs: append([]need{
			{"stop", "isolate", "isolated-running"}, {"isolate", "turn", "not-isolated"}, {"stop", "turn", "hands-at-turning-work"},
			{"withdraw", "turn", "turned-in-cut"}, {"turn", "clear", "index-late"}, {"isolate", "scratch", "not-isolated"},
		}, startNeeds...),
	},
	{
		name: "next-by-gear", weight: 2, asked: 6, serve: serveStudGear, ends: closedEnds,
		opens: []string{"the starts are spaced by letting teeth of the stud gear by. The half-nut stays closed.", "for every start the stud gear is turned on by a count of teeth. The half-nut is kept closed."},
		deeds: []deed{
			cutDeed, isolateDeed,
			{"teeth", []string{"Open the guard and mark the teeth that mesh.", "With the guard open, mark which teeth are in mesh."}, "the guard is open and the teeth in mesh are marked"},
			{"turn", []string{"Draw the wheels out of mesh and turn the spindle forward by the counted teeth.", "Take the wheels apart and turn the spindle forward, counting the teeth."}, "the spindle has been turned by the counted teeth, the wheels still out of mesh"},
			{"mesh", []string{"Mesh the wheels again and close the guard.", "Bring the wheels back into mesh, then shut the guard."}, "the wheels are in mesh again and the guard is closed"},
			clearDeed, scratchDeed, measureDeed,
		},
		at: 1,
		needs: append([]need{
			{"stop", "isolate", "isolated-running"}, {"isolate", "teeth", "not-isolated"}, {"stop", "teeth", "hands-at-turning-work"},
			{"withdraw", "turn", "turned-in-cut"}, {"teeth", "turn", "teeth-not-marked"}, {"turn", "mesh", "turned-late"},
			{"turn", "clear", "index-late"}, {"mesh", "scratch", "guard-open"},
		}, startNeeds...),
	},
	{
		name: "next-by-slide", weight: 2, asked: 6, serve: serveCompound, ends: closedEnds,
		opens: []string{"the starts are spaced with the top slide, which lies parallel to the bed. The half-nut stays closed.", "for every start the top slide, set along the bed, is moved on. The half-nut is kept closed."},
		deeds: []deed{
			cutDeed,
			{"slack", []string{"Unlock the top slide and take its backlash out with the travel.", "With the top slide unlocked, turn its handle with the travel until the slack is out."}, "the top slide is unlocked and its backlash taken out with the travel"},
			{"slide", []string{"Move the top slide on by the distance of the next start and lock it.", "Set the top slide to the reading of the next start, then lock it."}, "the top slide is at the reading of the next start and locked"},
			clearDeed, scratchDeed, measureDeed,
		},
		at: 1,
		needs: append([]need{
			{"stop", "slack", "moved-running"}, {"withdraw", "slack", "moved-in-cut"},
			{"slack", "slide", "backlash-left"}, {"slide", "clear", "index-late"},
		}, startNeeds...),
	},
	{
		name: "reground-tool", weight: 1, asked: 6, ends: closedEnds,
		opens: []string{
			"before the last start is finished the tool has had to be reground. Each light pass shows that it has turned in its post, and it is set anew. The half-nut stays closed.",
			"half-way through, the tool is reground and picked up in its groove. Whenever a light pass is looked at, it lies beside the groove, and the tool is set again. The half-nut is kept closed.",
		},
		deeds: []deed{
			isolateDeed,
			{"tool", []string{"Set the tool to centre height and square to the axis, and clamp it.", "Clamp the tool at centre height, square to the axis."}, "the tool is clamped square and at centre height, the lathe still isolated"},
			{"slack", []string{"Switch on and let the spindle turn forward a little, half-nut closed and tool clear, until the slack is out; then stop.", "Take the slack out: power on, half-nut closed, a little travel forward clear of the work, and stop."}, "the slack has been taken out with the spindle forward, and the spindle stands"},
			{"groove", []string{"Bring the tool into the groove with both slides.", "Move both slides until the tool lies in the groove."}, "the tool lies in the groove"},
			{"zero", []string{"Set the collars to zero.", "Put both collars to zero for this tool."}, "the collars have been set to zero"},
			{"light", []string{"Take a light pass.", "Let the tool take a pass that hardly cuts."}, "a light pass is being taken"},
			{"look", []string{"Look closely whether the light pass followed the groove.", "Look with a glass where the light pass has cut."}, "the light pass has been looked at: it lies beside the groove"},
		},
		at: 6,
		needs: []need{
			{"isolate", "tool", "tool-changed-running"}, {"tool", "slack", "squared-late"}, {"tool", "groove", "squared-late"}, {"slack", "groove", "slack-left"},
			{"groove", "zero", "collar-before-groove"}, {"zero", "light", "old-collar"}, {"light", "stop", "not-cut-yet"}, {"light", "withdraw", "not-cut-yet"},
			{"stop", "look", "measured-running"}, {"withdraw", "look", "measured-at-tool"}, {"look", "isolate", "no-light-pass"}, {"look", "tool", "no-light-pass"},
			{"light", "look", "no-light-pass"},
		},
	},
}

func serveAnyHolder(m *machine, _ threadmath.System) string {
	if len(m.holders) == 0 {
		return "no jaws, slots or index holes"
	}
	return ""
}

func serveAnyDial(m *machine, _ threadmath.System) string {
	if !m.halfNut || len(m.dials) == 0 {
		return "no half-nut with a thread dial"
	}
	return ""
}

func serveStudGear(m *machine, _ threadmath.System) string {
	switch {
	case m.ways.TrainOpens != nil && !*m.ways.TrainOpens:
		return "the gear train cannot be opened"
	case m.ways.StudGear == nil:
		return "no stud gear"
	}
	return ""
}
