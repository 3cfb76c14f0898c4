package api_test

import (
	"fmt"
	"net/url"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store/storetest"
)

// TestKeptAnswersWaitForWhoGaveThem: an answer kept on a shared device is not lost
// when somebody else joins on it before the network is back.
func TestKeptAnswersWaitForWhoGaveThem(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	other := s.variants[1]
	to := "/sheets/" + other.Code + "/1"
	body := url.Values{"try": {uuid.NewString()}, "part." + other.Exercises[0].Parts[0].ID: {"1"}}.Encode()
	p := s.joined(t, 360)
	p.script(fmt.Sprintf(`(() => { localStorage.setItem("halfnut.answers", JSON.stringify([{to: %q, body: %q, page: "/sheets/%s", section: "e1", at: Date.now()}])); return "" })()`, to, body, other.Code))
	p.open("/sheets/" + s.variants[0].Code)
	p.until(`document.querySelector("#kept").innerText.includes("somebody else")`)
	assert.Contains(t, p.script(`String(localStorage.getItem("halfnut.answers"))`), other.Code, "it waits")

	p.open("/join?code=" + s.class.JoiningCode)
	p.write("#learner", other.Learner)
	p.write("#pin", "4712")
	p.press("main button")
	p.open("/sheets/" + other.Code)
	p.until(`localStorage.getItem("halfnut.answers") === null`)
	tries, err := s.Progress(t.Context(), s.instructor, other.Code)
	require.NoError(t, err)
	assert.Equal(t, 1, tries[1].Attempt.Try)
}
