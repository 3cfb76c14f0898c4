package curriculum

import "time"

// Passphrase is what a person who signs in by name is checked against.
type Passphrase struct {
	Person, Workshop string
	// Hash is in the PHC text form.
	Hash string
}

// Scopes of API tokens; each holds the ones before it.
const (
	ScopeRead   = "read"   // looks
	ScopeMark   = "mark"   // enters answers
	ScopeManage = "manage" // changes
)

// Scopes lists the scopes, the narrowest first.
var Scopes = []string{ScopeRead, ScopeMark, ScopeManage}

// APIToken lets a program act for the person who made it. Its secret is kept by
// nobody.
type APIToken struct {
	ID       string     `json:"id"`
	Workshop string     `json:"-"`
	Person   string     `json:"person"`
	Name     string     `json:"name"`
	Scope    string     `json:"scope"`
	Created  time.Time  `json:"created"`
	Expires  time.Time  `json:"expires"`
	Used     *time.Time `json:"used"`    // to within ten minutes; null where it never was
	Revoked  *time.Time `json:"revoked"` // null where it is not
}
