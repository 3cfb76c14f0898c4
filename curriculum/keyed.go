package curriculum

import "time"

// KeyedRequest is a request that is to be carried out once under a key of whoever
// asks.
type KeyedRequest struct {
	Owner string // the id of the person or learner who asks
	Key   string
	// Hash stands for everything asked for, so that a key taken for two requests is
	// noticed.
	Hash string
	// At is now; a key used before Since is free again.
	At, Since time.Time
}

// KeptAnswer is what a request was answered with. Status is 0 where the answer
// held a secret and is not kept.
type KeptAnswer struct {
	Status         int
	Location, ETag string
	Body           string
}
