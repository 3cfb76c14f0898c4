package web

import (
	"net/http"
	"time"
)

// Cookie is the session's cookie. Over TLS its name binds it to this host alone;
// browsers refuse that name on plain http, which is for one's own machine.
type Cookie struct{ Secure bool }

func (c Cookie) name() string {
	if c.Secure {
		return "__Host-halfnut"
	}
	return "halfnut"
}

// Read returns the session's secret, or "".
func (c Cookie) Read(r *http.Request) string {
	k, err := r.Cookie(c.name())
	if err != nil {
		return ""
	}
	return k.Value
}

// Set gives the browser a session.
func (c Cookie) Set(w http.ResponseWriter, token string, expires time.Time) {
	http.SetCookie(w, &http.Cookie{Name: c.name(), Value: token, Path: "/", Expires: expires, HttpOnly: true, Secure: c.Secure, SameSite: http.SameSiteLaxMode})
}

// Clear takes the session away from the browser.
func (c Cookie) Clear(w http.ResponseWriter) {
	http.SetCookie(w, &http.Cookie{Name: c.name(), Path: "/", MaxAge: -1, HttpOnly: true, Secure: c.Secure, SameSite: http.SameSiteLaxMode})
}

// Origin is the address under which the request reached this service, without a
// path: what a printed code leads to.
func (c Cookie) Origin(r *http.Request) string {
	if c.Secure {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
