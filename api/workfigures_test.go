package api_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestWorkFigures prints how long big work takes from its asking to its end: a
// roster of 3,000, then a class set for 300 and its pack.
func TestWorkFigures(t *testing.T) {
	if !*figures {
		t.Skip("go test ./api -run TestWorkFigures -figures -v prints them")
	}
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		s.working(t, db)
		token := s.tokens(t)["instructor"]
		tell := func(what string, w curriculum.Work) {
			require.Equal(t, curriculum.WorkDone, w.State, w.Problem)
			fmt.Printf("%s, %s: %s, begun after %s\n", db.Engine(), what, w.Finished.Sub(w.Created).Round(time.Millisecond), w.Started.Sub(w.Created).Round(time.Millisecond))
		}
		names := func(n int) (curriculum.Class, string) {
			class, err := s.AddClass(t.Context(), s.instructor, fmt.Sprintf("Class of %d", n))
			require.NoError(t, err)
			var list strings.Builder
			list.WriteString("seat,name,class\n")
			for i := range n {
				fmt.Fprintf(&list, "%d,Learner %d,\n", i+1, i+1)
			}
			return class, list.String()
		}
		class, list := names(3000)
		tell("roster of 3,000", s.asked(t, token, "/v1/classes/"+class.ID+"/roster", "text/csv", list))
		class, list = names(300)
		tell("roster of 300", s.asked(t, token, "/v1/classes/"+class.ID+"/roster", "text/csv", list))
		spec := `{"title": "Leads", "skills": ["lead", "inch-mm", "axial-offset", "thread-dial", "whole-job"], "count": 10, "lathe": "` + s.lathe2(t) + `", "units": "mm"}`
		w := s.asked(t, token, "/v1/classes/"+class.ID+"/sets", "", spec)
		tell("class set for 300, ten exercises each", w)
		tell("its pack: sheets, key, grid, cover", s.asked(t, token, "/v1/sets/"+w.Result.Set+"/pack", "", ""))
	})
}
