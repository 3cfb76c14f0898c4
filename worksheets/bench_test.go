package worksheets

import (
	"bytes"
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// classPack composes the sheets of n learners into one document.
func classPack(tb testing.TB, n int) Document {
	tb.Helper()
	doc := Document{Title: "Class pack", Language: "en"}
	for i := range n {
		sheet := sampleSheet(NewStyle(A4, Options{}), fmt.Sprintf("Šárka Nguyễn the %dth", i))
		sheet.Running.Code = fmt.Sprintf("HN3-%04d-M5", i)
		pages, err := Compose(sheet)
		require.NoError(tb, err)
		doc.Pages = append(doc.Pages, pages...)
	}
	return doc
}

// A file of 30 learners must stay below 5,500 bytes a page, and a file of one below 15,000.
func TestBytesPerPage(t *testing.T) {
	t.Parallel()
	for learners, most := range map[int]int{30: 5500, 1: 15000} {
		doc := classPack(t, learners)
		var b bytes.Buffer
		require.NoError(t, Write(&b, doc))
		t.Logf("%d learners: %d pages, %d bytes a page", learners, len(doc.Pages), b.Len()/len(doc.Pages))
		assert.LessOrEqual(t, b.Len()/len(doc.Pages), most)
	}
}

func BenchmarkComposeClass(b *testing.B) {
	for b.Loop() {
		classPack(b, 30)
	}
}

func BenchmarkWriteClass(b *testing.B) {
	doc := classPack(b, 30)
	for b.Loop() {
		if err := Write(io.Discard, doc); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(doc.Pages)*b.N)/b.Elapsed().Seconds(), "pages/s")
}
