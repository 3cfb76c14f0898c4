// Package worksheets sets and prints the sheets of a class: worksheets, keys, bench cards and posters.
//
// It works in three layers. Blocks (Heading, Paragraph, Table, Figure, AnswerLine and so on) say what a sheet
// holds, in reading order. Compose sets them with its own font metrics and gives pages, each a draw list: plain
// values such as Text, Line and Arc in millimetres. Write turns pages into a PDF, SVG a single drawing into an
// element for a web page, HTML a sheet into an article, Dump pages and drawings into text for tests. A drawing is therefore made once for paper and screen.
//
//	pages, err := worksheets.Compose(worksheets.Sheet{
//		Owner:   learner.Name, // named when something cannot be printed
//		Style:   worksheets.NewStyle(worksheets.A4, worksheets.Options{LargePrint: true}),
//		Running: worksheets.Running{Title: "Set 3", Lines: []string{"Name: " + learner.Name}, Code: "HN3-7KQ2-M5"},
//		Body: []worksheets.Block{
//			worksheets.Heading{Text: "Exercise 1", Level: 2},
//			worksheets.Para("Find the pitch."),
//			worksheets.Figure{Drawing: drawing, Caption: "The developed thread"},
//			worksheets.AnswerLine{Label: "Pitch", Unit: "mm", Marks: 1},
//		},
//	})
//	err = worksheets.WriteFile("set3.pdf", worksheets.Document{Title: "Set 3", Language: "en", Pages: pages})
//
// A class pack is the pages of several sheets in one Document. Pages of different paper and style may stand in one
// file.
//
// # Units
//
// Lengths are millimetres on paper, from the top left corner with y down; sizes of type are points of 1/72 in;
// angles are degrees, counter-clockwise as seen on the page. A drawing to scale says its scale in Group.Scale:
// millimetres on paper per millimetre of the thing. What a drawing shows is named by the class of its items;
// "dim:pitch" is the dimension line of the pitch, so Group.Measure("dim:pitch") / Group.Scale is the pitch again.
//
// # What holds
//
//   - Equal documents give equal bytes in one build of the program. Another Go release may compress differently.
//   - Text that the font cannot print, right-to-left text and runes above U+FFFF stop the job with a *TextError
//     that names the owner and the rune. Nothing is replaced or left out in silence.
//   - A block that no page can hold stops it with a *FitError, but for long boxes, tables and a Keep that may flow,
//     which go on over the page. A row of a table goes on only where no page can hold it. Nothing is cut off or shrunk.
//   - No text lies outside its box or over other text, no heading or table header ends a page, no page is blank.
//   - A failed write returns the writer's error, and WriteFile leaves the old file as it was.
//
// # What does not
//
//   - The PDF has its language, title and reading order but no tags, so it is not PDF/UA; offer the HTML page to
//     readers who need more.
//   - Letters are placed by their advance alone, without kerning.
//
// # Sources
//
// ISO 128-2 (lines of technical drawings: wide and narrow lines 2 to 1, chain lines for axes), ISO 129-1
// (dimensions), ISO 216 (A4), ISO 32000-1 (PDF), ISO/IEC 18004 (QR code: quiet zone of four modules), WCAG 2.2
// success criterion 1.4.12 (text spacing). The standards' figures are from memory except WCAG's; none of them
// decides a value of thread mathematics.
package worksheets
