package api

import (
	"fmt"
	"net/http"
	"net/netip"
	"sync"
	"time"

	"github.com/gin-gonic/gin"
	"golang.org/x/time/rate"

	"halfnut/curriculum"
)

// What one address may try at the doors. A hundred learners behind one address
// can all join within a minute; whoever guesses is down to one try in
// tryCost/triesEachSecond = 5 s after some two dozen.
const (
	triesEachSecond = 2
	triesAtOnce     = 240
	// tryCost is what a try that failed costs, where a right one costs 1.
	tryCost = 10

	// addressesMost bounds the memory: about 100 bytes for each.
	addressesMost = 20_000
)

// doorRoutes are the routes where a secret can be guessed.
var doorRoutes = map[string]bool{
	"POST /v1/session":      true,
	"GET /v1/joining/:code": true,
	"POST /v1/joining":      true,
	"POST /link":            true,
	"GET /join":             true,
	"POST /join":            true,
	"POST /signin":          true,
}

// limits slows down whoever guesses, by address. Accounts have their own limit
// in package practice.
type limits struct {
	mu        sync.Mutex
	addresses map[string]*rate.Limiter
	// others is shared by all addresses for which there is no room.
	others *rate.Limiter
}

func newLimits() *limits {
	return &limits{addresses: map[string]*rate.Limiter{}, others: newTries()}
}

func newTries() *rate.Limiter { return rate.NewLimiter(triesEachSecond, triesAtOnce) }

// of returns the limiter of an address.
func (l *limits) of(address string, now time.Time) *rate.Limiter {
	key := network(address)
	l.mu.Lock()
	defer l.mu.Unlock()
	if lim, ok := l.addresses[key]; ok {
		return lim
	}
	if len(l.addresses) >= addressesMost { // one that is full again says nothing
		for k, lim := range l.addresses {
			if lim.TokensAt(now) >= triesAtOnce {
				delete(l.addresses, k)
			}
		}
	}
	if len(l.addresses) >= addressesMost {
		return l.others
	}
	lim := newTries()
	l.addresses[key] = lim
	return lim
}

// network returns what one person holds: an IPv4 address, or the /64 of an IPv6
// address, in which a host picks addresses as it likes.
func network(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	a = a.Unmap()
	if a.Is6() {
		if p, err := a.WithZone("").Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}

// handler refuses tries at the doors from an address that has used up its own;
// refuse writes the answer.
func (l *limits) handler(refuse func(c *gin.Context, err error)) gin.HandlerFunc {
	return func(c *gin.Context) {
		if !doorRoutes[c.Request.Method+" "+c.FullPath()] {
			return
		}
		now := time.Now()
		lim := l.of(c.ClientIP(), now)
		if !lim.AllowN(now, 1) {
			missing := 1 - lim.TokensAt(now)
			wait := time.Duration(missing / triesEachSecond * float64(time.Second))
			refuse(c, &curriculum.WaitError{Wait: wait, Reason: "too many tries from this address"})
			c.Abort()
			return
		}
		c.Next()
		switch c.Writer.Status() {
		case http.StatusUnauthorized, http.StatusForbidden, http.StatusUnprocessableEntity:
			lim.ReserveN(now, tryCost-1) // may fall below nothing, which later tries make up for
		}
	}
}

// CheckProxies refuses a list that Config.Proxies cannot take.
func CheckProxies(list []string) error {
	gin.SetMode(gin.ReleaseMode) // its debug mode writes to the terminal
	return proxies(gin.New(), list)
}

// proxies says in words what is wrong with a list of proxies.
func proxies(e *gin.Engine, list []string) error {
	if err := e.SetTrustedProxies(list); err != nil {
		return fmt.Errorf("proxies: %w", err)
	}
	return nil
}
