package api_test

import (
	"maps"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
)

// signOffDoors are the rows of the table of doors for people and sign-offs.
var signOffDoors = map[string]struct {
	path, body string
	status     [5]int // in the order of everybody
}{
	"GET /v1/people":                                                  {"/v1/people", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/people":                                                 {"/v1/people", `{"name": "", "role": "steward"}`, [5]int{401, 403, 403, 422, 422}},
	"POST /v1/people/:id/link":                                        {"/v1/people/none/link", "", [5]int{401, 403, 403, 404, 404}},
	"PUT /v1/people/:id/end":                                          {"/v1/people/none/end", `{"reason": ""}`, [5]int{401, 403, 403, 404, 404}},
	"DELETE /v1/people/:id/end":                                       {"/v1/people/none/end", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/signoff/operations":                                      {"/v1/signoff/operations", "", [5]int{200, 200, 200, 200, 200}},
	"GET /v1/signoff/rules":                                           {"/v1/signoff/rules", "", [5]int{401, 200, 200, 200, 200}},
	"PUT /v1/signoff/rules":                                           {"/v1/signoff/rules", `{"pass_mark": 79}`, [5]int{401, 403, 403, 422, 422}},
	"GET /v1/signoff/end":                                             {"/v1/signoff/end", "", [5]int{401, 403, 403, 200, 200}},
	"GET /v1/signoff/learners":                                        {"/v1/signoff/learners?q=a", "", [5]int{401, 403, 403, 200, 200}},
	"GET /v1/signoff/learners/:id":                                    {"/v1/signoff/learners/LEARNER", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/signoff/learners/:id/history":                            {"/v1/signoff/learners/LEARNER/history", "", [5]int{401, 403, 403, 200, 404}},
	"DELETE /v1/signoff/learners/:id/name":                            {"/v1/signoff/learners/THIRD/name", "", [5]int{401, 403, 403, 204, 404}},
	"GET /v1/signoff/learners/:id/card.pdf":                           {"/v1/signoff/learners/LEARNER/card.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/signoff/learners/:id/lathes/:lathe/:operation":           {"/v1/signoff/learners/LEARNER/lathes/LATHE/multi-start", "", [5]int{401, 200, 422, 200, 422}},
	"GET /v1/signoff/learners/:id/lathes/:lathe/:operation/sheet.pdf": {"/v1/signoff/learners/LEARNER/lathes/LATHE/multi-start/sheet.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/signoff/lathes/:id/today":                                {"/v1/signoff/lathes/LATHE/today", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/signoff/sittings":                                       {"/v1/signoff/sittings", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "kind": "theory"}`, [5]int{401, 403, 403, 409, 422}},
	"GET /v1/signoff/sittings/:id":                                    {"/v1/signoff/sittings/none", "", [5]int{401, 404, 404, 404, 404}},
	"POST /v1/signoff/sittings/:id/answers":                           {"/v1/signoff/sittings/none/answers", `{"answers": []}`, [5]int{401, 404, 404, 404, 404}},
	"POST /v1/signoff/demonstrations":                                 {"/v1/signoff/demonstrations", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "job": "", "items": {}}`, [5]int{401, 403, 403, 422, 422}},
	"POST /v1/signoff/test-pieces":                                    {"/v1/signoff/test-pieces", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "thread": "", "measures": []}`, [5]int{401, 403, 403, 422, 422}},
	"POST /v1/signoff/decisions":                                      {"/v1/signoff/decisions", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "granted": true, "age": true}`, [5]int{401, 403, 403, 409, 422}},
	"POST /v1/signoff/check-ins":                                      {"/v1/signoff/check-ins", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "job": "", "dress": []}`, [5]int{401, 403, 403, 422, 422}},
	"POST /v1/signoff/restrictions":                                   {"/v1/signoff/restrictions", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "reason": "x"}`, [5]int{401, 403, 403, 409, 422}},
	"POST /v1/signoff/revocations":                                    {"/v1/signoff/revocations", `{"learner": "LEARNER", "lathe": "LATHE", "operation": "turning", "reason": "x"}`, [5]int{401, 403, 403, 409, 422}},
}

func init() { maps.Copy(doors, signOffDoors) }

// stewardMay are the routes that a steward gets further on than 403, with what
// the request of the table of doors gives.
var stewardMay = map[string]int{
	"POST /v1/recompute": 202, "GET /v1/work": 200, "GET /v1/work/:id": 404, "DELETE /v1/work/:id": 404, "GET /v1/work/:id/file": 404,
	"GET /v1/workshop": 200, "GET /v1/people": 200, "PUT /v1/session/passphrase": 422, "GET /v1/signoff/rules": 200, "GET /v1/signoff/end": 200, "GET /v1/signoff/operations": 200,
	"GET /v1/signoff/learners": 200, "GET /v1/signoff/learners/:id": 200, "GET /v1/signoff/learners/:id/history": 200,
	"GET /v1/signoff/learners/:id/card.pdf": 200, "GET /v1/signoff/learners/:id/lathes/:lathe/:operation": 200,
	"GET /v1/signoff/learners/:id/lathes/:lathe/:operation/sheet.pdf": 200, "GET /v1/signoff/lathes/:id/today": 200,
	"GET /v1/signoff/sittings/:id": 404, "POST /v1/signoff/sittings/:id/answers": 404,
	"PUT /v1/lathes/:id/out-of-use":   422,
	"POST /v1/signoff/demonstrations": 422, "POST /v1/signoff/check-ins": 422, "POST /v1/signoff/revocations": 409,
}

// TestStewardDoors: a steward gets through the doors of the sign-off that are
// meant for stewards, and through none that is an instructor's.
func TestStewardDoors(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	_, link, err := s.AddPerson(t.Context(), s.instructor, "Door", curriculum.RoleSteward)
	require.NoError(t, err)
	token, _, err := s.UseLink(t.Context(), link)
	require.NoError(t, err)
	names := strings.NewReplacer("CODE", s.class.JoiningCode, "LEARNER", s.variants[0].Learner, "THIRD", s.variants[2].Learner,
		"LATHE", s.lathe.ID, "CLASS", s.class.ID, "SET", s.set.ID, "SHEET", s.variants[0].Code)
	seen := map[string]bool{}
	for _, r := range api.Routes() {
		name := r.Method + " " + r.Path
		door := doors[name]
		// Doors that stand open to learners or to nobody are not the question.
		if door.path == "" || door.status[0] != http.StatusUnauthorized || !strings.Contains(name, "/signoff") && !strings.Contains(name, "/people") && door.status[1] != http.StatusForbidden {
			continue
		}
		seen[name] = true
		status, _, body := s.call(t, token, r.Method, names.Replace(door.path), "", names.Replace(door.body))
		want, may := stewardMay[name]
		if !may {
			want = http.StatusForbidden
		}
		assert.Equal(t, want, status, "%s: %s", name, body)
	}
	assert.Greater(t, len(seen), 30)
}
