package curriculum

import "halfnut/threadmath"

// BenchCard is what lies beside the lathe for one job on one lathe: every number
// that is dialled, in the order of the work, as text. It exists only for a job
// that may be cut: see shop.BenchCard.
type BenchCard struct {
	Title  string `json:"title"`
	Lathe  string `json:"lathe"`
	Method string `json:"method"` // from start to start; empty for a single start
	// Facts describe thread, blank and tool.
	Facts []CardRow `json:"facts"`
	// SetUp are the boxes to tick before the first cut.
	SetUp  []string     `json:"set_up"`
	RunOut []CardRow    `json:"run_out"`
	Proof  ScratchProof `json:"proof"`
	// Starts in the order in which they are cut.
	Starts []CardStart `json:"starts"`
	// Between says what happens to the half-nut between the passes of one start.
	Between string     `json:"between"`
	FedBy   string     `json:"fed_by"`
	Reads   string     `json:"reads"` // what the infeed collar reads
	Passes  []CardPass `json:"passes"`
	// Limits are what is measured, with room for the reading.
	Limits   []CardLimit          `json:"limits"`
	Notes    []string             `json:"notes"`
	Cautions []threadmath.Caution `json:"cautions"`
	// Leans are the entries of the lathe's record that the numbers come from. A card
	// is made without their checks: see Prove.
	Leans []LatheProof `json:"leans"`
	// Dial or Holder is drawn where the method uses it.
	Dial   *threadmath.DialAnswer   `json:"dial,omitempty"`
	Holder *threadmath.HolderAnswer `json:"holder,omitempty"`
}

// Prove says of the entries that the card leans on which are proved by the
// lathe's checks, oldest first.
func (c *BenchCard) Prove(checks []LatheCheck) {
	entries := make([]LatheEntry, len(c.Leans))
	for i, p := range c.Leans {
		entries[i] = p.LatheEntry
	}
	c.Leans = Prove(entries, checks)
}

// CardRow names a thing and says what it is.
type CardRow struct {
	What string `json:"what"`
	Is   string `json:"is"`
}

// ScratchProof is what a light scratch must show before metal is lost.
type ScratchProof struct {
	Turns   int    `json:"turns"`
	Lead    string `json:"lead"`    // over the turns
	Spacing string `json:"spacing"` // from one start's scratch to the next; empty for a single start
}

// CardStart is one start and how to come to it.
type CardStart struct {
	Start int    `json:"start"`
	How   string `json:"how"`
	Dial  string `json:"dial"` // what is set, in short
}

// CardPass is one setting of the infeed collar; a pass without infeed repeats
// the last one.
type CardPass struct {
	Name    string `json:"name"`
	Dial    string `json:"dial"`    // turns and divisions from zero
	Reading string `json:"reading"` // as the collar shows it
	Depth   string `json:"depth"`   // radial
}

// CardLimit is one thing to measure.
type CardLimit struct {
	What  string `json:"what"`
	Most  string `json:"most"`
	Least string `json:"least"`
}

// Preparation is what a class needs before it comes into the shop.
type Preparation struct {
	Groups []PreparationGroup `json:"groups"`
	// Without lists those whose job has no bench card, with the reason.
	Without []CardRow `json:"without"`
}

// PreparationGroup is one kind of things.
type PreparationGroup struct {
	Title string            `json:"title"`
	Items []PreparationItem `json:"items"`
}

// PreparationItem is a thing, how many, and for whom.
type PreparationItem struct {
	What  string   `json:"what"`
	Count int      `json:"count"`
	For   []string `json:"for"`
}

// RefusedCard says why a job has no bench card; it is an ErrInvalid.
type RefusedCard struct{ Reasons []CardReason }

// CardReason is one reason, with the field of the request it is about.
type CardReason struct {
	Path string `json:"path"`
	Why  string `json:"why"`
}

// Error joins the reasons.
func (r *RefusedCard) Error() string {
	s := "this job cannot be printed as a bench card"
	for i, x := range r.Reasons {
		sep := "; "
		if i == 0 {
			sep = ": "
		}
		s += sep + x.Why
	}
	return s
}

// Unwrap gives each reason as a FieldError, so that a client learns all of them.
func (r *RefusedCard) Unwrap() []error {
	out := make([]error, len(r.Reasons))
	for i, x := range r.Reasons {
		out[i] = &FieldError{Path: x.Path, Reason: x.Why}
	}
	return out
}
