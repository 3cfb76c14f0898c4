package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestServeTLS: with a certificate the service speaks TLS, and its cookie is one
// that browsers keep to it.
func TestServeTLS(t *testing.T) {
	t.Parallel()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := &x509.Certificate{SerialNumber: big.NewInt(1), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	require.NoError(t, err)
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	require.NoError(t, err)
	dir := t.TempDir()
	chain, private := filepath.Join(dir, "chain.pem"), filepath.Join(dir, "key.pem")
	require.NoError(t, os.WriteFile(chain, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600))
	require.NoError(t, os.WriteFile(private, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), 0o600))

	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var out, errs syncBuffer
	done := make(chan int, 1)
	go func() {
		done <- run(ctx, []string{"serve", "--address", "127.0.0.1:0", "--data", filepath.Join(dir, "x.db"), "--tls-cert", chain, "--tls-key", private}, console{strings.NewReader(""), &out, &errs})
	}()
	printed := regexp.MustCompile(`(https://\S+)/link/(\S+)`)
	require.Eventually(t, func() bool { return printed.MatchString(out.String()) }, 60*time.Second, 10*time.Millisecond, "%s", &errs)
	link := printed.FindStringSubmatch(out.String())
	pool := x509.NewCertPool()
	certificate, err := x509.ParseCertificate(der)
	require.NoError(t, err)
	pool.AddCert(certificate)
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12}}
	defer transport.CloseIdleConnections()
	res, err := (&http.Client{Transport: transport}).Post(link[1]+"/v1/session", "application/json", strings.NewReader(`{"link": "`+link[2]+`"}`))
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, http.StatusCreated, res.StatusCode)
	assert.NotEmpty(t, res.Header.Get("Strict-Transport-Security"))
	require.Len(t, res.Cookies(), 1)
	assert.Equal(t, "__Host-halfnut", res.Cookies()[0].Name)
	assert.True(t, res.Cookies()[0].Secure)
	stop()
	assert.Equal(t, exitOK, <-done)

	for _, wrong := range [][]string{{"--tls-cert", chain}, {"--tls-key", private}, {"--tls-cert", private, "--tls-key", chain}} {
		_, said, code := halfnut(t, "", append([]string{"serve", "--address", "127.0.0.1:0", "--data", filepath.Join(dir, "y.db")}, wrong...)...)
		assert.NotEqual(t, exitOK, code)
		assert.Contains(t, said, "--tls-")
	}
}
