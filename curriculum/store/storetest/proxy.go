package storetest

import (
	"io"
	"net"
	"net/url"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Proxy stands between a test and a PostgreSQL server, so that the test can take
// the server away.
type Proxy struct {
	// Address is the database's address through the proxy.
	Address string

	to       string
	mu       sync.Mutex
	cut      bool
	open     map[net.Conn]bool
	listener net.Listener
}

// NewProxy returns a proxy to the server of a database.
func NewProxy(t testing.TB, address string) *Proxy {
	t.Helper()
	u, err := url.Parse(address)
	require.NoError(t, err)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	p := &Proxy{to: u.Host, open: map[net.Conn]bool{}, listener: listener}
	u.Host = listener.Addr().String()
	p.Address = u.String()
	go p.accept()
	t.Cleanup(func() {
		p.Cut()
		require.NoError(t, listener.Close())
	})
	return p
}

// Cut breaks every connection and refuses new ones.
func (p *Proxy) Cut() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cut = true
	for c := range p.open {
		_ = c.Close()
	}
	clear(p.open)
}

// Mend lets connections through again.
func (p *Proxy) Mend() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cut = false
}

func (p *Proxy) accept() {
	for {
		c, err := p.listener.Accept()
		if err != nil {
			return
		}
		go p.carry(c)
	}
}

func (p *Proxy) carry(client net.Conn) {
	server, err := net.Dial("tcp", p.to)
	if err != nil {
		_ = client.Close()
		return
	}
	p.mu.Lock()
	if p.cut {
		p.mu.Unlock()
		_ = client.Close()
		_ = server.Close()
		return
	}
	p.open[client], p.open[server] = true, true
	p.mu.Unlock()
	go func() {
		_, _ = io.Copy(server, client)
		_ = server.Close()
	}()
	_, _ = io.Copy(client, server)
	_ = client.Close()
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.open, client)
	delete(p.open, server)
}
