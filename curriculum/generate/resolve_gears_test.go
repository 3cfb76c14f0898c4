package generate_test

import (
	"math/big"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

// Change gears turned: teeth are passed from wheel to wheel through whole turns,
// and the carriage is moved thread by thread.

// screwOf is the travel in a turn of the leadscrew, mm.
func screwOf(t *testing.T, e curriculum.Exercise) *big.Rat {
	t.Helper()
	for _, name := range []string{"p", "S"} {
		if text, ok := e.Givens.Values[name]; ok {
			return millimetres(t, text)
		}
	}
	t.Fatalf("no leadscrew: %s", e.Prompt)
	return nil
}

// threadLead adds up the pitches of the starts, mm.
func threadLead(t *testing.T, e curriculum.Exercise) *big.Rat {
	t.Helper()
	text, ok := e.Givens.Values["P"]
	if !ok {
		text = e.Givens.Values["N"]
	}
	lead := new(big.Rat)
	for range given(t, e, "n") {
		lead.Add(lead, millimetres(t, text))
	}
	return lead
}

// travelPerTurn turns the spindle until every wheel has come round, counts the
// turns of the leadscrew, and shares the travel among the turns of the spindle.
// The pairs are driver and driven wheel, the first driver on the stud.
func travelPerTurn(t *testing.T, e curriculum.Exercise, pairs ...[2]int) *big.Rat {
	t.Helper()
	r := number(t, e.Givens.Values["r"])
	spindle, wheel := int(r.Denom().Int64()), int(r.Num().Int64()) // turns of the spindle, and of the wheel that was reached
	for _, p := range pairs {
		passed := wheel * p[0]
		turns := 0
		spindle, passed = spindle*p[1], passed*p[1] // long enough for the driven wheel to come round
		for passed > 0 {
			passed -= p[1]
			turns++
		}
		require.Zero(t, passed)
		wheel = turns
	}
	travel := new(big.Rat).Mul(screwOf(t, e), big.NewRat(int64(wheel), 1))
	return travel.Quo(travel, big.NewRat(int64(spindle), 1))
}

// inUnit is mm in the unit of the part.
func inUnit(mm *big.Rat, unit string) *big.Rat {
	if unit == curriculum.UnitInch {
		return new(big.Rat).Quo(mm, big.NewRat(254, 10))
	}
	return mm
}

func turnTheTrain(t *testing.T, e curriculum.Exercise, part int) any {
	pairs := [][2]int{{given(t, e, "A"), given(t, e, "B")}}
	if e.Model == "lead-of-a-train" {
		pairs = append(pairs, [2]int{given(t, e, "C"), given(t, e, "D")})
	}
	return inUnit(travelPerTurn(t, e, pairs...), e.Parts[part].Unit)
}

// turnUntilBothMeet goes on by a lead or by a leadscrew thread, whichever is
// behind, until both have gone as far: so many turns of the leadscrew belong to so
// many of the spindle.
func turnUntilBothMeet(t *testing.T, e curriculum.Exercise, _ int) any {
	lead, screw := threadLead(t, e), screwOf(t, e)
	fine := new(big.Rat).SetInt(new(big.Int).Mul(lead.Denom(), screw.Denom()))
	l := new(big.Rat).Mul(lead, fine).Num().Int64()
	s := new(big.Rat).Mul(screw, fine).Num().Int64()
	spindle, leadscrew := int64(1), int64(1)
	for work, carriage := l, s; work != carriage; {
		if work < carriage {
			work += l
			spindle++
		} else {
			carriage += s
			leadscrew++
		}
	}
	stud := new(big.Rat).Mul(big.NewRat(spindle, 1), number(t, e.Givens.Values["r"]))
	return new(big.Rat).Quo(big.NewRat(leadscrew, 1), stud)
}

// tryLastWheels puts one wheel after the other on the leadscrew.
func tryLastWheels(t *testing.T, e curriculum.Exercise, _ int) any {
	lead := threadLead(t, e)
	first, second := [2]int{given(t, e, "A"), given(t, e, "B")}, given(t, e, "C")
	for teeth := 1; teeth <= 1000; teeth++ {
		switch travelPerTurn(t, e, first, [2]int{second, teeth}).Cmp(lead) {
		case 0:
			return big.NewRat(int64(teeth), 1)
		case -1: // larger wheels turn the leadscrew slower still
			return new(big.Rat)
		}
	}
	return new(big.Rat)
}

// trySets returns the sets that cut the lead, joined; a question has one.
func trySets(t *testing.T, e curriculum.Exercise, part int) any {
	var cutting []string
	for _, c := range e.Parts[part].Choices {
		var pairs [][2]int
		for pair := range strings.SplitSeq(c.Text, " × ") {
			driver, driven, ok := strings.Cut(pair, "/")
			require.True(t, ok, c.Text)
			a, err := strconv.Atoi(driver)
			require.NoError(t, err)
			b, err := strconv.Atoi(driven)
			require.NoError(t, err)
			pairs = append(pairs, [2]int{a, b})
		}
		if travelPerTurn(t, e, pairs...).Cmp(threadLead(t, e)) == 0 {
			cutting = append(cutting, c.ID)
		}
	}
	return strings.Join(cutting, ",")
}
