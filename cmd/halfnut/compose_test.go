package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/compose-spec/compose-go/v2/loader"
	"github.com/compose-spec/compose-go/v2/types"
	"github.com/moby/buildkit/frontend/dockerfile/instructions"
	"github.com/moby/buildkit/frontend/dockerfile/parser"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func composeProject(t *testing.T, data []byte) (*types.Project, error) {
	t.Helper()
	folder, err := filepath.Abs("../..")
	require.NoError(t, err)
	return loader.LoadWithContext(t.Context(), types.ConfigDetails{
		WorkingDir: folder, ConfigFiles: []types.ConfigFile{{Filename: filepath.Join(folder, "docker-compose.yml"), Content: data}}, Environment: types.Mapping{},
	}, func(o *loader.Options) { o.SetProjectName("halfnut", true) })
}

// TestCompose reads docker-compose.yml as compose does and holds what it
// promises. No image is fetched or started here: that it parses is not that it
// runs.
func TestCompose(t *testing.T) {
	data, err := os.ReadFile("../../docker-compose.yml")
	require.NoError(t, err)
	p, err := composeProject(t, data)
	require.NoError(t, err)
	require.ElementsMatch(t, []string{"one", "two", "database", "proxy"}, p.ServiceNames())
	for _, s := range p.Services {
		assert.True(t, s.ReadOnly, "%s: read-only", s.Name)
		assert.Equal(t, []string{"ALL"}, s.CapDrop, s.Name)
		assert.Empty(t, s.CapAdd, s.Name)
		assert.False(t, s.Privileged, s.Name)
		assert.Contains(t, s.SecurityOpt, "no-new-privileges:true", s.Name)
		assert.NotEmpty(t, s.User, s.Name)
		assert.False(t, strings.HasPrefix(s.User, "0") || strings.HasPrefix(s.User, "root"), "%s: not root", s.Name)
		require.NotNil(t, s.HealthCheck, s.Name)
		assert.NotEmpty(t, s.HealthCheck.Test, s.Name)
		for key, value := range s.Environment {
			if strings.Contains(key, "PASSWORD") {
				assert.True(t, strings.HasSuffix(key, "_FILE"), "%s: %s: secrets by file", s.Name, key)
				assert.True(t, strings.HasPrefix(*value, "/run/secrets/"), *value)
			}
			assert.NotRegexp(t, `://[^/@]*:[^/@]*@`, *value, "%s: no password in an address", s.Name)
		}
		for on, d := range s.DependsOn {
			if on != "one" || s.Name == "proxy" {
				assert.Equal(t, types.ServiceConditionHealthy, d.Condition, "%s waits for %s", s.Name, on)
			}
		}
		for _, port := range s.Ports {
			assert.Equal(t, "127.0.0.1", port.HostIP, "nothing faces the world unasked")
		}
	}
	one, two := p.Services["one"], p.Services["two"]
	assert.Equal(t, one.Image, two.Image)
	assert.Equal(t, one.Environment, two.Environment)
	assert.Equal(t, "65532:65532", one.User)
	require.NotNil(t, one.StopGracePeriod)
	assert.Greater(t, time.Duration(*one.StopGracePeriod), stopTime, "requests under way can finish")
	assert.Contains(t, p.Services["database"].Volumes, types.ServiceVolumeConfig{Type: "volume", Source: "records", Target: "/var/lib/postgresql", Volume: &types.ServiceVolumeVolume{}})
	for _, server := range []string{"server one one:8080 check", "server two two:8080 check", "GET /readyz"} {
		assert.Contains(t, p.Configs["proxy"].Content, server)
	}
	checkDockerfile(t, one.Build.DockerfileInline)
	checkSettings(t, one)

	// The readers do find faults.
	for _, wrong := range [][2]string{{"read_only:", "reed_only:"}, {"service_healthy", "service_happy"}, {"interval: 10s", "interval: soon"}, {"[database_password]", "[other]"}} {
		_, err := composeProject(t, bytes.Replace(data, []byte(wrong[0]), []byte(wrong[1]), 1))
		assert.Error(t, err, "%v", wrong)
	}
	_, err = dockerfile(strings.Replace(one.Build.DockerfileInline, "ENTRYPOINT", "ENTRYPIONT", 1))
	assert.Error(t, err)
}

func dockerfile(text string) ([]instructions.Stage, error) {
	parsed, err := parser.Parse(strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	stages, _, err := instructions.Parse(parsed.AST, nil)
	return stages, err
}

// checkDockerfile: built from this source, shipped alone, not as root.
func checkDockerfile(t *testing.T, text string) {
	t.Helper()
	stages, err := dockerfile(text)
	require.NoError(t, err)
	require.Len(t, stages, 2)
	last := stages[1]
	assert.Equal(t, "scratch", last.BaseName)
	var user, entry string
	for _, c := range last.Commands {
		switch c := c.(type) {
		case *instructions.UserCommand:
			user = c.User
		case *instructions.EntrypointCommand:
			entry = strings.Join(c.CmdLine, " ")
		case *instructions.CopyCommand:
			assert.Equal(t, "build", c.From)
		}
	}
	assert.Equal(t, "65532:65532", user)
	assert.Equal(t, "/halfnut", entry)
	assert.Contains(t, text, "./cmd/halfnut")
	assert.DirExists(t, "../../cmd/halfnut")
}

// checkSettings lets the program itself read the settings of the copies.
func checkSettings(t *testing.T, s types.ServiceConfig) {
	t.Helper()
	for key, value := range s.Environment {
		t.Setenv(key, *value)
	}
	out, errs, code := halfnut(t, "", "config")
	require.Equal(t, exitOK, code, errs)
	assert.NotContains(t, out, "means nothing")
	for key := range s.Environment {
		lines := slices.Collect(strings.Lines(out))
		i := slices.IndexFunc(lines, func(l string) bool { return strings.HasSuffix(strings.TrimSpace(l), key) })
		require.GreaterOrEqual(t, i, 0, key)
		assert.Contains(t, lines[i], "environment")
	}
}
