package main

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/evanw/esbuild/pkg/api"

	"lapwright/internal/recording"
)

// saved makes a FLAC file of the samples on its standard input, and stores it in an archive, as the page does.
const saved = `import { flac } from "./flac";
import { zip } from "./zip";
import { readFileSync, writeSync } from "node:fs";
const b = readFileSync(0);
const f = await flac(new Int16Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length)), Number(process.argv[2]));
const out = zip([{ name: "take.json", bytes: new Uint8Array() }, { name: "take.flac", bytes: f }]);
for (let at = 0; at < out.length; ) at += writeSync(1, out, at);`

// TestSavedTakeIsReadByAnother: what the page's scripts write as FLAC and ZIP is read by libraries that
// are not ours, check sums and all, and gives the samples back: silence, tones, noise over the whole range,
// the steepest jumps, and the shortest of files.
func TestSavedTakeIsReadByAnother(t *testing.T) {
	dir, err := filepath.Abs("../src")
	if err != nil {
		t.Fatal(err)
	}
	script := filepath.Join(t.TempDir(), "saved.mjs")
	res := api.Build(api.BuildOptions{
		Stdin: &api.StdinOptions{Contents: saved, ResolveDir: dir, Loader: api.LoaderTS}, Bundle: true, Platform: api.PlatformNode,
		Format: api.FormatESModule, Target: api.ES2022, Outfile: script, Write: true,
	})
	if len(res.Errors) > 0 {
		t.Fatal(api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage}))
	}
	r := rand.New(rand.NewPCG(16, 1))
	var all []int16
	for i := range 60000 {
		v := 0.0
		switch {
		case i < 9000:
		case i < 25000:
			v = 20000 * math.Sin(float64(i)/20)
		case i < 40000:
			v = float64(r.IntN(1<<16) - 1<<15)
		case i < 50000:
			v = float64(1<<15 - 1 - i%2*(1<<16-1))
		default:
			v = 900 * r.NormFloat64()
		}
		all = append(all, int16(v))
	}
	for _, x := range [][]int16{all, all[9000:9001], all[25000:25002], all[25000:25017]} {
		in := new(bytes.Buffer)
		if err := binary.Write(in, binary.LittleEndian, x); err != nil {
			t.Fatal(err)
		}
		const rate = 44100
		cmd := exec.Command("node", script, "44100")
		cmd.Stdin, cmd.Stderr = in, os.Stderr
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		z, err := zip.NewReader(bytes.NewReader(out), int64(len(out)))
		if err != nil {
			t.Fatal(err)
		}
		if len(z.File) != 2 || z.File[0].Name != "take.json" {
			t.Fatalf("the archive holds %d files", len(z.File))
		}
		f, err := z.Open("take.flac")
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(f) // which compares the check sum
		if err != nil {
			t.Fatal(err)
		}
		got, err := recording.Read(b, "take.flac")
		if err != nil {
			t.Fatal(err)
		}
		if got.Rate != rate || len(got.Channels) != 1 || len(got.Channels[0]) != len(x) {
			t.Fatalf("%d samples at %g are read, want %d", len(got.Channels[0]), got.Rate, len(x))
		}
		for i, v := range got.Channels[0] {
			if v != float32(x[i])/(1<<15) {
				t.Fatalf("of %d samples the %dth is %g, want %g", len(x), i, v, float32(x[i])/(1<<15))
			}
		}
		t.Logf("%d samples in %d bytes", len(x), len(b))
	}
}
