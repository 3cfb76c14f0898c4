package curriculum

// WrongLook is what a known mistake makes of one part: the answer that a sheet then shows.
type WrongLook struct {
	Part string `json:"part"`
	ID   string `json:"id"`
	// Shows is the answer in the part's unit and with its decimals; empty where the
	// mistake gives no number.
	Shows    string `json:"shows"`
	Feedback string `json:"feedback"`
}
