package api_test

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// call makes one request as somebody; an empty token is nobody.
func (s *service) call(t *testing.T, token, method, path, contentType, body string) (int, http.Header, string) {
	t.Helper()
	header := map[string]string{"Content-Type": contentType}
	if token != "" {
		header["Authorization"] = "Bearer " + token
	}
	if method == http.MethodPut {
		header["If-Match"] = `"1"`
	}
	return s.send(t, method, path, body, header)
}

// send makes one request; a header without a value is left out.
func (s *service) send(t *testing.T, method, path, body string, header map[string]string) (int, http.Header, string) {
	t.Helper()
	r, err := http.NewRequest(method, s.base+path, strings.NewReader(body))
	require.NoError(t, err)
	for name, value := range header {
		if value != "" {
			r.Header.Set(name, value)
		}
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := client.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	judge(t, r, []byte(body), res.StatusCode, res.Header, data)
	return res.StatusCode, res.Header, string(data)
}

// tokens signs in an instructor, two learners and an instructor of another
// workshop.
func (s *service) tokens(t *testing.T) map[string]string {
	t.Helper()
	ctx := t.Context()
	out := map[string]string{"nobody": ""}
	var err error
	out["instructor"], _, err = s.UseLink(ctx, s.link)
	require.NoError(t, err)
	out["learner"], _, err = s.Join(ctx, s.class.JoiningCode, s.variants[0].Learner, "4711")
	require.NoError(t, err)
	out["other learner"], _, err = s.Join(ctx, s.class.JoiningCode, s.variants[1].Learner, "4712")
	require.NoError(t, err)
	_, p, err := s.Begin(ctx, "Another workshop", "Somebody", "in")
	require.NoError(t, err)
	link, err := s.NewLink(ctx, p)
	require.NoError(t, err)
	out["stranger"], _, err = s.UseLink(ctx, link)
	require.NoError(t, err)
	return out
}

var everybody = []string{"nobody", "learner", "other learner", "instructor", "stranger"}

// doors says for every route what everybody gets. A route that is missing here
// fails the test.
var doors = map[string]struct {
	path, body string
	status     [5]int // in the order of everybody
}{
	"PUT /v1/classes/:id":               {"/v1/classes/CLASS", `{"name": "Renamed"}`, [5]int{401, 403, 403, 409, 404}},
	"GET /v1/events":                    {"/v1/events?about=CLASS&since=2026-03-02T18:00:00Z", "", [5]int{401, 403, 403, 200, 200}},
	"GET /healthz":                      {"/healthz", "", [5]int{200, 200, 200, 200, 200}},
	"GET /readyz":                       {"/readyz", "", [5]int{200, 200, 200, 200, 200}},
	"POST /v1/solve":                    {"/v1/solve", `{"thread": {"pitch": "2 mm"}}`, [5]int{200, 200, 200, 200, 200}},
	"GET /v1/classes/:id/jobs":          {"/v1/classes/CLASS/jobs", "", [5]int{401, 403, 403, 200, 404}},
	"PUT /v1/classes/:id/jobs/:learner": {"/v1/classes/CLASS/jobs/LEARNER", `{"lathe": "none"}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/classes/:id/jobs/:learner/bench-card.pdf": {"/v1/classes/CLASS/jobs/LEARNER/bench-card.pdf", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/classes/:id/shop-sessions":                {"/v1/classes/CLASS/shop-sessions", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/classes/:id/shop-sessions":               {"/v1/classes/CLASS/shop-sessions", `{"begins": "2026-03-02T18:00:00Z", "spec": {"title": ""}}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/shop-sessions/:id":                        {"/v1/shop-sessions/NONE", "", [5]int{401, 403, 403, 404, 404}},
	"PUT /v1/shop-sessions/:id":                        {"/v1/shop-sessions/NONE", `{"begins": "2026-03-02T18:00:00Z", "spec": {}}`, [5]int{401, 403, 403, 404, 404}},
	"PUT /v1/shop-sessions/:id/called-off":             {"/v1/shop-sessions/NONE/called-off", `{"reason": "no heating"}`, [5]int{401, 403, 403, 404, 404}},
	"DELETE /v1/shop-sessions/:id/called-off":          {"/v1/shop-sessions/NONE/called-off", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/shop-sessions/:id/board.pdf":              {"/v1/shop-sessions/NONE/board.pdf", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/shop-sessions/:id/session.ics":            {"/v1/shop-sessions/NONE/session.ics", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/sets/:id/marks.csv":                       {"/v1/sets/SET/marks.csv", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/classes/:id/preparation.pdf":              {"/v1/classes/CLASS/preparation.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"DELETE /v1/times/:id":                             {"/v1/times/NONE", "", [5]int{401, 403, 403, 404, 404}},
	"DELETE /v1/classes/:id/jobs/:learner":             {"/v1/classes/CLASS/jobs/LEARNER", "", [5]int{401, 403, 403, 428, 428}},
	"DELETE /v1/classes/:id/learners/:learner":         {"/v1/classes/CLASS/learners/NONE", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/learners":                                 {"/v1/learners", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/classes/:id/roster":                      {"/v1/classes/CLASS/roster", "name", [5]int{401, 403, 403, 422, 404}},
	"GET /v1/times":                                    {"/v1/times", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/lathes/:id/times":                        {"/v1/lathes/LATHE/times", `{}`, [5]int{401, 403, 403, 422, 404}},
	"POST /v1/bench-card.pdf":                          {"/v1/bench-card.pdf", `{"thread": {"pitch": "2 mm"}}`, [5]int{422, 422, 422, 422, 422}},
	"GET /v1/openapi.json":                             {"/v1/openapi.json", "", [5]int{200, 200, 200, 200, 200}},
	"GET /v1/skills":                                   {"/v1/skills", "", [5]int{200, 200, 200, 200, 200}},
	"GET /v1/session":                                  {"/v1/session", "", [5]int{401, 200, 200, 200, 200}},
	"POST /v1/session":                                 {"/v1/session", `{"link": "no such link"}`, [5]int{401, 401, 401, 401, 401}},
	"DELETE /v1/session":                               {"", "", [5]int{401, 204, 204, 204, 204}}, // done by its own test
	"PUT /v1/session/passphrase":                       {"/v1/session/passphrase", `{"passphrase": "too short"}`, [5]int{401, 403, 403, 422, 422}},
	"PUT /v1/session/units":                            {"/v1/session/units", `{"units": "both"}`, [5]int{401, 204, 204, 204, 204}},
	"GET /v1/tokens":                                   {"/v1/tokens", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/tokens":                                  {"/v1/tokens", `{"name": " ", "scope": "read", "days": 1}`, [5]int{401, 403, 403, 422, 422}},
	"DELETE /v1/tokens/:id":                            {"/v1/tokens/NONE", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/joining/:code":                            {"/v1/joining/CODE", "", [5]int{200, 200, 200, 200, 200}},
	"POST /v1/joining":                                 {"/v1/joining", `{"joining_code": "CODE", "learner": "LEARNER", "pin": "9999"}`, [5]int{403, 403, 403, 403, 403}},
	"GET /v1/lathes":                                   {"/v1/lathes", "", [5]int{401, 200, 200, 200, 200}},
	"POST /v1/lathes":                                  {"/v1/lathes", `{"name": " ", "profile": {}}`, [5]int{401, 403, 403, 422, 422}},
	"GET /v1/lathes/:id":                               {"/v1/lathes/LATHE", "", [5]int{401, 200, 200, 200, 404}},
	"PUT /v1/lathes/:id/out-of-use":                    {"/v1/lathes/LATHE/out-of-use", `{"reason": " "}`, [5]int{401, 403, 403, 422, 404}},
	"DELETE /v1/lathes/:id/out-of-use":                 {"/v1/lathes/LATHE/out-of-use", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/lathes/:id/skills":                        {"/v1/lathes/LATHE/skills?units=mm", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/lathes/:id/checks":                        {"/v1/lathes/LATHE/checks", "", [5]int{401, 200, 200, 200, 404}},
	"POST /v1/lathes/:id/checks":                       {"/v1/lathes/LATHE/checks", `{"entry": "none", "what": "x", "predicted": "1", "measured": "1"}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/sets/:id/cover.pdf":                       {"/v1/sets/SET/cover.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/lathes/:id/poster.pdf":                    {"/v1/lathes/LATHE/poster.pdf", "", [5]int{401, 200, 200, 200, 404}},
	"GET /v1/lathes/:id/survey.pdf":                    {"/v1/lathes/LATHE/survey.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/learners/:id/plan.pdf":                    {"/v1/learners/LEARNER/plan.pdf", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/classes/:id/course/plan.pdf":              {"/v1/classes/CLASS/course/plan.pdf", "", [5]int{401, 403, 403, 404, 404}},
	"PUT /v1/lathes/:id":                               {"/v1/lathes/LATHE", `{"name": " ", "profile": {}}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/classes":                                  {"/v1/classes", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/classes":                                 {"/v1/classes", `{"name": " "}`, [5]int{401, 403, 403, 422, 422}},
	"GET /v1/classes/:id":                              {"/v1/classes/CLASS", "", [5]int{401, 403, 403, 200, 404}},
	"PUT /v1/classes/:id/end":                          {"/v1/classes/CLASS/end", `{"reason": ""}`, [5]int{401, 403, 403, 200, 404}},
	"DELETE /v1/classes/:id/end":                       {"/v1/classes/CLASS/end", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/classes/:id/joining-code":                {"/v1/classes/CLASS/joining-code", "", [5]int{401, 403, 403, 201, 404}},
	"GET /v1/classes/:id/learners":                     {"/v1/classes/CLASS/learners", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/classes/:id/learners":                    {"/v1/classes/CLASS/learners", `{"names": [" "]}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/classes/:id/learners/:learner":            {"/v1/classes/CLASS/learners/LEARNER", "", [5]int{401, 403, 403, 200, 404}},
	"PUT /v1/classes/:id/learners/:learner":            {"/v1/classes/CLASS/learners/LEARNER", `{"name": " ", "seat": 1}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/workshop":                                 {"/v1/workshop", "", [5]int{401, 403, 403, 200, 200}},
	"PUT /v1/workshop":                                 {"/v1/workshop", `{"name": " ", "units": "mm"}`, [5]int{401, 403, 403, 422, 422}},
	"DELETE /v1/learners/:id/pin":                      {"/v1/learners/THIRD/pin", "", [5]int{401, 403, 403, 204, 404}},
	"GET /v1/learners/:id/record":                      {"/v1/learners/LEARNER/record", "", [5]int{401, 200, 404, 200, 404}},
	"POST /v1/learners/:id/erasure":                    {"/v1/learners/LEARNER/erasure", `{"name": "not the name"}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/learners/:id/mastery":                     {"/v1/learners/LEARNER/mastery", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/learners/:id/plan":                        {"/v1/learners/LEARNER/plan", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/learners/:id/plan.ics":                    {"/v1/learners/LEARNER/plan.ics", "", [5]int{401, 200, 404, 200, 404}},
	"POST /v1/learners/:id/sheets":                     {"/v1/learners/LEARNER/sheets", "", [5]int{401, 201, 404, 201, 404}},
	"GET /v1/classes/:id/mastery":                      {"/v1/classes/CLASS/mastery", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/classes/:id/course":                       {"/v1/classes/CLASS/course", "", [5]int{401, 403, 403, 404, 404}},
	"PUT /v1/classes/:id/course":                       {"/v1/classes/CLASS/course", `{"title": "", "thread": {"pitch": "2 mm"}, "lathe": "LATHE"}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/classes/:id/course/plan":                  {"/v1/classes/CLASS/course/plan", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/classes/:id/forecast":                     {"/v1/classes/CLASS/forecast", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/classes/:id/sets":                         {"/v1/classes/CLASS/sets", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/classes/:id/sets":                        {"/v1/classes/CLASS/sets", `{"title": " ", "skills": ["lead"], "count": 1, "lathe": "LATHE", "units": "mm"}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/sets/:id":                                 {"/v1/sets/SET", "", [5]int{401, 403, 403, 200, 404}},
	"PUT /v1/sets/:id/withdrawn":                       {"/v1/sets/SET/withdrawn", `{"reason": " "}`, [5]int{401, 403, 403, 422, 404}},
	"DELETE /v1/sets/:id/withdrawn":                    {"/v1/sets/SET/withdrawn", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/sets/:id/variants":                        {"/v1/sets/SET/variants", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/sets/:id/worksheets.pdf":                  {"/v1/sets/SET/worksheets.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/sets/:id/key.pdf":                         {"/v1/sets/SET/key.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/sets/:id/grid.pdf":                        {"/v1/sets/SET/grid.pdf", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/sets/:id/pack.zip":                        {"/v1/sets/SET/pack.zip?double=1", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/sets/:id/pack":                           {"/v1/sets/SET/pack?double=1", "", [5]int{401, 403, 403, 202, 404}},
	"POST /v1/recompute":                               {"/v1/recompute", `{"write": false}`, [5]int{401, 403, 403, 202, 202}},
	"POST /v1/export":                                  {"/v1/export", "", [5]int{401, 403, 403, 202, 202}},
	"GET /v1/work":                                     {"/v1/work", "", [5]int{401, 403, 403, 200, 200}},
	"GET /v1/work/:id":                                 {"/v1/work/WORK", "", [5]int{401, 403, 403, 200, 404}},
	"DELETE /v1/work/:id":                              {"/v1/work/CALLED", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/work/:id/file":                            {"/v1/work/WORK/file", "", [5]int{401, 403, 403, 404, 404}},
	"GET /v1/sets/:id/marks":                           {"/v1/sets/SET/marks", "", [5]int{401, 403, 403, 200, 404}},
	"POST /v1/sets/:id/answers":                        {"/v1/sets/SET/answers", `{"answers": [{"variant": "NONE", "position": 1, "answers": {"a": "1"}}]}`, [5]int{401, 403, 403, 422, 404}},
	"GET /v1/sheets/:code/attempts":                    {"/v1/sheets/SHEET/attempts", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/statistics":                               {"/v1/statistics?class=CLASS", "", [5]int{401, 403, 403, 200, 404}},
	"GET /v1/overrules":                                {"/v1/overrules", "", [5]int{401, 403, 403, 200, 200}},
	"POST /v1/attempts/:id/overrules":                  {"/v1/attempts/none/overrules", `{"part": "a", "to": "right", "reason": "so"}`, [5]int{401, 403, 403, 404, 404}},
	"GET /v1/sheets":                                   {"/v1/sheets", "", [5]int{401, 200, 200, 403, 403}},
	"GET /v1/sheets/:code":                             {"/v1/sheets/SHEET", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/sheets/:code/progress":                    {"/v1/sheets/SHEET/progress", "", [5]int{401, 200, 404, 200, 404}},
	"GET /v1/sheets/:code/hint":                        {"/v1/sheets/SHEET/hint?position=1&part=a&rung=1", "", [5]int{401, 200, 404, 200, 404}},
	"POST /v1/sheets/:code/answers":                    {"/v1/sheets/SHEET/answers", `{"id": "0190c5ce-7a5f-7000-8000-000000000001", "position": 1, "answers": {"a": "1,250"}}`, [5]int{401, 201, 404, 403, 403}},
}

func TestDoorsOfEveryRoute(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		work, err := s.AskExport(t.Context(), s.instructor)
		require.NoError(t, err)
		called, err := s.AskExport(t.Context(), s.instructor)
		require.NoError(t, err)
		names := strings.NewReplacer("WORK", work.ID, "CALLED", called.ID, "CODE", s.class.JoiningCode, "LEARNER", s.variants[0].Learner, "THIRD", s.variants[2].Learner,
			"LATHE", s.lathe.ID, "CLASS", s.class.ID, "SET", s.set.ID, "SHEET", s.variants[0].Code)
		seen := map[string]bool{}
		for _, r := range api.Routes() {
			name := r.Method + " " + r.Path
			seen[name] = true
			door, ok := doors[name]
			if !assert.True(t, ok, "%s has no row in the table of doors", name) || door.path == "" {
				continue
			}
			for i, who := range everybody {
				media := ""
				if strings.HasSuffix(r.Path, "/roster") {
					media = "text/csv"
				}
				status, header, body := s.call(t, tokens[who], r.Method, names.Replace(door.path), media, names.Replace(door.body))
				assert.Equal(t, door.status[i], status, "%s as %s: %s", name, who, body)
				if status >= 400 {
					assert.Equal(t, problem.ContentType, header.Get("Content-Type"), name)
				}
			}
		}
		for name := range doors {
			assert.True(t, seen[name], "%s is in the table of doors and is no route", name)
		}
		for i, who := range everybody {
			status, _, _ := s.call(t, tokens[who], "DELETE", "/v1/session", "", "")
			assert.Equal(t, doors["DELETE /v1/session"].status[i], status, who)
			status, _, _ = s.call(t, tokens[who], "GET", "/v1/session", "", "")
			assert.Equal(t, 401, status, "%s after signing out", who)
		}
	})
}

// TestLearnersGetNoKey looks into every answer that a learner can get before the
// solution is due.
func TestLearnersGetNoKey(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["learner"]
	code := s.variants[0].Code
	mistake := s.variants[0].Exercises[0].Givens.Values["P"]
	_, _, tried := s.call(t, token, "POST", "/v1/sheets/"+code+"/answers", "application/json",
		`{"id": "`+uuid.NewString()+`", "position": 1, "answers": {"a": "`+mistake+`"}}`)
	assert.Contains(t, tried, `"wrong-rule"`)
	bodies := map[string]string{"try": tried}
	for _, path := range []string{"/v1/sheets", "/v1/sheets/" + code, "/v1/sheets/" + code + "/progress", "/v1/sheets/" + code + "/hint?position=1&part=a&rung=3"} {
		status, _, body := s.call(t, token, "GET", path, "", "")
		require.Equal(t, 200, status, path)
		bodies[path] = body
	}
	for where, body := range bodies {
		for _, secret := range []string{`"answer":`, `"accept"`, `"steps"`, `"wrong":`, `"seed"`, `"margin"`, `"expected"`, `"compared"`} {
			assert.NotContains(t, body, secret, where)
		}
	}
}

func TestProblems(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	tokens := s.tokens(t)
	for name, c := range map[string]struct {
		who, method, path, contentType, body string
		status                               int
		path0                                string // of the first field
	}{
		"not JSON":        {"nobody", "POST", "/v1/solve", "", "{", 422, "/"},
		"unknown field":   {"nobody", "POST", "/v1/solve", "", `{"thread": {"pitch": "2 mm", "colour": 1}}`, 422, "/thread/colour"},
		"no such address": {"nobody", "GET", "/v1/nowhere", "", "", 404, ""},
		"wrong method":    {"nobody", "PATCH", "/v1/solve", "", "", 405, ""},
		"too large":       {"nobody", "POST", "/v1/solve", "", strings.Repeat(" ", 5<<20), 413, ""},
		"huge number":     {"nobody", "POST", "/v1/solve", "", `{"thread": {"pitch": "2 mm", "starts": 1e1000000}}`, 422, "/thread/starts"},
		"long number":     {"nobody", "POST", "/v1/solve", "", `{"thread": {"pitch": "` + strings.Repeat("9", 100_000) + ` mm"}}`, 422, "/thread/pitch"},
		"deep nesting":    {"nobody", "POST", "/v1/solve", "", strings.Repeat("[", 100_000), 422, "/"},
		"wrong kind":      {"instructor", "POST", "/v1/classes", "", `{"name": 7}`, 422, "/name"},
		"extra field":     {"instructor", "POST", "/v1/classes", "", `{"name": "x", "colour": 1}`, 422, "/colour"},
		"another case":    {"instructor", "POST", "/v1/classes", "", `{"Name": "x"}`, 422, "/Name"},
		"given twice":     {"instructor", "POST", "/v1/classes", "", `{"name": "x", "name": "y"}`, 422, "/name"},
		"missing":         {"instructor", "POST", "/v1/classes", "", `{}`, 422, "/name"},
		"null":            {"instructor", "POST", "/v1/classes", "", `{"name": null}`, 422, "/name"},
		"two documents":   {"instructor", "POST", "/v1/classes", "", `{"name": "x"} {}`, 422, "/"},
		"not UTF-8":       {"instructor", "POST", "/v1/classes", "", "{\"name\": \"\xff\"}", 422, "/"},
		"wrong media":     {"instructor", "POST", "/v1/classes", "text/plain", `{"name": "x"}`, 415, ""},
		"null in a list":  {"nobody", "POST", "/v1/solve", "", `{"thread": {"pitch": "2 mm"}, "lathe": {"gearbox": ["3 mm", null]}}`, 422, "/lathe/gearbox/1"},
		"deep in a lathe": {"instructor", "POST", "/v1/lathes", "", `{"name": "x", "profile": {"holders": [{"kind": "chuck-jaws"}]}}`, 422, "/profile/holders/0/stations"},
		"lathe field":     {"instructor", "POST", "/v1/lathes", "", `{"name": "x", "profile": {"thread_dials": [{"teeth": 0, "graduations": 4}]}}`, 422, ""},
		"bad CSV":         {"instructor", "POST", "/v1/sets/" + s.set.ID + "/answers", "text/csv", "a,b\n", 422, "line 1"},
		"bad paper":       {"instructor", "GET", "/v1/sets/" + s.set.ID + "/worksheets.pdf?paper=a0", "", "", 422, "?paper"},
		"not a UUID":      {"learner", "POST", "/v1/sheets/" + s.variants[0].Code + "/answers", "", `{"id": "x", "position": 1, "answers": {"a": "1"}}`, 422, "/id"},
		"no such part":    {"learner", "POST", "/v1/sheets/" + s.variants[0].Code + "/answers", "", `{"id": "` + uuid.NewString() + `", "position": 1, "answers": {"zz": "1"}}`, 422, "/answers"},
		"no such place":   {"learner", "POST", "/v1/sheets/" + s.variants[0].Code + "/answers", "", `{"id": "` + uuid.NewString() + `", "position": 99, "answers": {"a": "1"}}`, 422, "/position"},
		"null byte":       {"nobody", "GET", "/v1/joining/%00", "", "", 422, "/joining_code"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			begun := time.Now()
			status, header, body := s.call(t, tokens[c.who], c.method, c.path, c.contentType, c.body)
			require.Equal(t, c.status, status, body)
			require.Equal(t, problem.ContentType, header.Get("Content-Type"))
			var d problem.Document
			require.NoError(t, json.Unmarshal([]byte(body), &d))
			assert.Equal(t, c.status, d.Status)
			assert.NotEmpty(t, d.Title)
			assert.Less(t, len(body), 2000, "what is echoed stays short")
			if c.path0 != "" {
				require.NotEmpty(t, d.Fields, body)
				assert.Equal(t, c.path0, d.Fields[0].Path)
			}
			assert.Less(t, time.Since(begun), 10*time.Second, "hostile input is refused before it costs")
		})
	}
}

// TestHeadersAndCookies: what every page and answer carries.
func TestHeadersAndCookies(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	for _, path := range []string{"/", "/bench", "/v1/skills", "/nowhere", "/static/halfnut.css"} {
		_, h, _ := s.call(t, "", "GET", path, "", "")
		assert.Contains(t, h.Get("Content-Security-Policy"), "default-src 'none'", path)
		assert.NotContains(t, h.Get("Content-Security-Policy"), "unsafe", path)
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
		assert.NotEmpty(t, h.Get("X-Request-Id"), path)
	}
	status, h, _ := s.call(t, "", "POST", "/v1/session", "", `{"link": "`+s.link+`"}`)
	require.Equal(t, http.StatusCreated, status)
	cookie := h.Get("Set-Cookie")
	for _, flag := range []string{"HttpOnly", "SameSite=Lax", "Path=/"} {
		assert.Contains(t, cookie, flag)
	}
	r, err := http.NewRequest(http.MethodPost, s.base+"/v1/classes", strings.NewReader(`{"name": "x"}`))
	require.NoError(t, err)
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	r.Header.Set("Cookie", cookie)
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	assert.Equal(t, http.StatusForbidden, res.StatusCode, "another site cannot act for a signed-in instructor")
}

func TestSameSetSameBytes(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	for _, name := range []string{"worksheets.pdf", "key.pdf", "grid.pdf", "worksheets.pdf?paper=letter&large=1&contrast=1&spacing=1"} {
		_, _, first := s.call(t, token, "GET", "/v1/sets/"+s.set.ID+"/"+name, "", "")
		_, _, second := s.call(t, token, "GET", "/v1/sets/"+s.set.ID+"/"+name, "", "")
		assert.True(t, strings.HasPrefix(first, "%PDF-"), "%s: %.300s", name, first)
		assert.True(t, bytes.Equal([]byte(first), []byte(second)), "%s: the same set prints the same bytes", name)
	}
}

// TestTheTripOverJSON: set, answer, paper and marks for a program.
func TestTheTripOverJSON(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		_, _, body := s.call(t, tokens["instructor"], "POST", "/v1/classes/"+s.class.ID+"/sets", "application/json",
			`{"title": "Angles", "skills": ["index-angle"], "count": 1, "lathe": "`+s.lathe.ID+`", "units": "mm"}`)
		var built struct {
			Set      curriculum.ClassSet
			Variants []curriculum.Variant
		}
		require.NoError(t, json.Unmarshal([]byte(body), &built))
		require.Len(t, built.Variants, 12)
		v := built.Variants[0]
		answers := map[string]string{}
		for _, p := range v.Exercises[0].Parts {
			answers[p.ID] = p.Answer.String() + "°"
		}
		sent, err := json.Marshal(practice.Submission{ID: uuid.NewString(), Position: 1, Answers: answers})
		require.NoError(t, err)
		for range 2 {
			status, _, body := s.call(t, tokens["learner"], "POST", "/v1/sheets/"+v.Code+"/answers", "application/json", strings.Replace(string(sent), `"variant":"",`, "", 1))
			require.Equal(t, http.StatusCreated, status, body)
			assert.Contains(t, body, `"outcome":"right"`)
			assert.Contains(t, body, `"solution"`)
		}
		status, _, body := s.call(t, tokens["instructor"], "POST", "/v1/sets/"+built.Set.ID+"/answers", "text/csv", "sheet,exercise,part,answer\n"+built.Variants[1].Code+",1,a,7\n")
		require.Equal(t, http.StatusCreated, status, body)
		_, _, body = s.call(t, tokens["instructor"], "GET", "/v1/sets/"+built.Set.ID+"/marks", "", "")
		var table practice.MarkTable
		require.NoError(t, json.Unmarshal([]byte(body), &table))
		assert.Equal(t, 1, table.Rows[0].Marks[0].Tries, "sent twice, counted once")
		assert.Equal(t, table.OutOf[0], table.Rows[0].Total)
		assert.Equal(t, 0, table.Rows[1].Total)
	})
}
