package main

import (
	"regexp"
	"runtime/debug"
	"testing"
)

// The build settings' names are those that the go command documents for
// debug.BuildSetting.
func TestRevision(t *testing.T) {
	built := func(hash, changed string) *debug.BuildInfo {
		return &debug.BuildInfo{Settings: []debug.BuildSetting{{Key: "vcs", Value: "git"}, {Key: "vcs.revision", Value: hash}, {Key: "vcs.modified", Value: changed}}}
	}
	const hash, other = "0123456789abcdef0123456789abcdef01234567", "fedcba9876543210fedcba9876543210fedcba98"
	for _, c := range []struct {
		info     *debug.BuildInfo
		archived string
		want     string
	}{
		{built(hash, "false"), "$Format:%H$\n", "0123456789ab"},
		{built(hash, "true"), "$Format:%H$\n", "0123456789ab with changes"},
		{built(hash, "false"), other + "\n", "0123456789ab"},
		{&debug.BuildInfo{}, other + "\n", "fedcba987654"},
		{&debug.BuildInfo{}, "$Format:%H$\n", "unknown revision"},
		{nil, "$Format:%H$\n", "unknown revision"},
	} {
		if got := revision(c.info, c.archived); got != c.want {
			t.Errorf("revision(%v, %q) = %q, want %q", c.info, c.archived, got, c.want)
		}
	}
	if line := versionLine(); !regexp.MustCompile(`^lapwright \d+\.\d+\.\d+ \(.+, go1\.\d+.*\)$`).MatchString(line) {
		t.Errorf("the version is %q", line)
	}
}
