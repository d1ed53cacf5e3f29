package whole

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestApart(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, f := range []string{"in.abc", "other.abc", "lesson/tune.abc"} {
		if err := errors.Join(os.MkdirAll(filepath.Dir(f), 0o755), os.WriteFile(f, []byte("X:1"), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	abs, err := filepath.Abs("in.abc")
	if err := errors.Join(err, os.Symlink("in.abc", "link.abc"), os.Link("in.abc", "hard.abc"), os.Symlink(".", "here")); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		in   []string
		out  []string
		fine bool
	}{
		{[]string{"in.abc"}, []string{"out.abc"}, true},
		{[]string{"in.abc"}, []string{"other.abc"}, true},
		{[]string{"in.abc", "reso-open-g"}, []string{"", "-"}, true},
		{[]string{"in.abc"}, []string{"in.abc"}, false},
		{[]string{"in.abc"}, []string{"./lesson/../in.abc"}, false},
		{[]string{"in.abc"}, []string{abs}, false},
		{[]string{"in.abc"}, []string{"link.abc"}, false},
		{[]string{"link.abc"}, []string{"hard.abc"}, false},
		{[]string{"in.abc", "other.abc"}, []string{"out.abc", "other.abc"}, false},
		{nil, []string{"w.wav", "w.wav"}, false},
		{nil, []string{"w.wav", "here/w.wav"}, false},
		{nil, []string{"in.abc", "link.abc"}, false},
		{nil, []string{"none/w.wav", "none/./w.wav"}, false},
		{nil, []string{"w.wav", "v.wav"}, true},
		{nil, []string{"-", "-"}, true},
		{nil, []string{"/dev/null", "/dev/null"}, true},
		{[]string{"/dev/null"}, []string{"/dev/null"}, true},
		{[]string{"in.abc"}, []string{"lesson"}, true},
		{[]string{"lesson/tune.abc"}, []string{"lesson"}, false},
		{[]string{"here/lesson/tune.abc"}, []string{"lesson/"}, false},
		{[]string{"lesson/tune.abc"}, []string{"less"}, true},
		{[]string{"reso-open-g"}, []string{"."}, true},
	} {
		err := Apart(c.in, c.out...)
		var trouble *Trouble
		if c.fine != (err == nil) || err != nil && (!errors.As(err, &trouble) || !trouble.Misnamed) {
			t.Errorf("from %q to %q: got %v, want fine %t", c.in, c.out, err, c.fine)
		}
	}
}

func TestTroubleSaysWhoseItIs(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("f", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path, want string
		misnamed   bool
	}{
		{"none/x.txt", `"none/x.txt" can't be written: there is no such folder`, true},
		{"f/x.txt", `"f/x.txt" can't be written: a part of that path is a file and no folder`, true},
		{"/proc/x.txt", `"/proc/x.txt" can't be written: nothing may be written there`, true},
		{".", `"." is a folder; name a file`, true},
		{"", `the file to write has an empty name`, true},
		{"/dev/full", `"/dev/full" can't be written: the disk is full`, false},
	} {
		err := WriteFile(c.path, []byte("x"))
		var trouble *Trouble
		if !errors.As(err, &trouble) || trouble.Error() != c.want || trouble.Misnamed != c.misnamed {
			t.Errorf("%q gave %v, want %s", c.path, err, c.want)
		}
	}
	for _, c := range []struct{ path, want string }{
		{"", `the folder to make has an empty name`},
		{"f", `"f" is a file; name a folder`},
		{"/proc/x", `"/proc/x" can't be made: nothing may be written there`},
	} {
		_, err := NewFolder(c.path, nil)
		var trouble *Trouble
		if !errors.As(err, &trouble) || trouble.Error() != c.want || !trouble.Misnamed {
			t.Errorf("the folder %q gave %v, want %s", c.path, err, c.want)
		}
	}
}
