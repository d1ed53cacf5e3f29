//go:build js && wasm

package main

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"runtime"
	"runtime/debug"
	"slices"
	"syscall/js"

	"lapwright/page"
	"lapwright/report"
)

// collectEvery is after how many blocks, five seconds of sound, what they left behind is
// collected. Left to itself the collector waits until the program has grown by some
// megabytes, and memory never goes back in a browser.
const collectEvery = 100

// mostMemory is so much memory in use, in bytes, that the program collects before it would
// otherwise, which is at twice of what it held: a ten-minute take alone is 58 MB. The
// program itself comes on top.
const mostMemory = 120_000_000

// seldom is by how many percent the program may grow before it collects while it answers a question without a recording:
// a tune of 32 bars leaves 8 MB behind as it is placed and drawn, and the program has one thread, which a student waits for.
const seldom = 400

func main() {
	debug.SetMemoryLimit(mostMemory)
	lesson := &page.Lesson{}
	var stage page.Stage
	sounding := map[int]*page.Live{}
	blocks := 0
	js.Global().Set("lapwright", map[string]any{
		"open": js.FuncOf(func(_ js.Value, args []js.Value) any {
			l, err := page.Open([]byte(args[0].String()))
			if err != nil {
				return err.Error()
			}
			lesson = l
			return ""
		}),
		"answer": js.FuncOf(func(_ js.Value, args []js.Value) any {
			if !args[1].Truthy() {
				defer debug.SetGCPercent(debug.SetGCPercent(seldom))
			}
			var sheet func([]byte)
			if len(args) > 3 {
				sheet = func(drawn []byte) { args[3].Invoke(string(drawn)) }
			}
			return string(lesson.AnswerSheetFirst([]byte(args[0].String()), recording(args[1], args[2]), sheet))
		}),
		"begin": js.FuncOf(func(_ js.Value, args []js.Value) any {
			var w report.Wished
			err := json.Unmarshal([]byte(args[1].String()), &w)
			if err == nil {
				sounding[args[0].Int()], err = stage.Begin(&w)
			}
			if err != nil {
				delete(sounding, args[0].Int())
				return err.Error()
			}
			return ""
		}),
		"next": js.FuncOf(func(_ js.Value, args []js.Value) any {
			l := sounding[args[0].Int()]
			if l == nil {
				return nil
			}
			if blocks++; blocks%collectEvery == 0 {
				runtime.GC()
			}
			b := l.Next(args[1].Int())
			if b == nil {
				return nil
			}
			at := l.Now()
			parts := []any{part("lead", b.Left, b.Right)}
			if b.Backing[0] != nil {
				parts = append(parts, part("backing", b.Backing[0], b.Backing[1]))
			}
			return map[string]any{"parts": parts, "pass": at.Pass, "past": at.Past}
		}),
		"end": js.FuncOf(func(_ js.Value, args []js.Value) any {
			delete(sounding, args[0].Int())
			return nil
		}),
	})
	js.Global().Call("lapwrightReady")
	select {}
}

// recording returns a Float32Array, which may be null, and its rate. It stays with the page but
// for the block that is heard. Where there is rest all is collected at once: a collection that runs beside
// a long answer ends late, since nothing else gets its turn.
func recording(v, rate js.Value) page.Recording {
	if !v.Truthy() {
		return page.Recording{}
	}
	var out []float32
	return page.Recording{Samples: v.Length(), Rate: rate.Float(), Block: func(from, to int) []float32 {
		out = samples(out[:0], v.Call("subarray", from, to))
		return out
	}, Rest: runtime.GC}
}

// raw holds the bytes of samples on their way in or out, for all of them in turn.
var raw []byte

// samples appends a Float32Array.
func samples(out []float32, v js.Value) []float32 {
	raw = slices.Grow(raw[:0], 4*v.Length())[:4*v.Length()]
	js.CopyBytesToGo(raw, js.Global().Get("Uint8Array").New(v.Get("buffer"), v.Get("byteOffset"), len(raw)))
	for at := 0; at < len(raw); at += 4 {
		out = append(out, math.Float32frombits(binary.LittleEndian.Uint32(raw[at:])))
	}
	return out
}

// part returns one of what sounds together, by its name.
func part(name string, left, right []float32) map[string]any {
	return map[string]any{"name": name, "channels": []any{floats(left), floats(right)}}
}

// floats returns a Float32Array.
func floats(s []float32) js.Value {
	raw = raw[:0]
	for _, v := range s {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(v))
	}
	bytes := js.Global().Get("Uint8Array").New(len(raw))
	js.CopyBytesToJS(bytes, raw)
	return js.Global().Get("Float32Array").New(bytes.Get("buffer"))
}
