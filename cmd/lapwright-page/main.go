//go:build js && wasm

// Command lapwright-page is the core as the page of a lesson runs it, in a worker
// of the student's browser. It sets globalThis.lapwright:
//
//	open(text)                        what the page carries; "" or what is wrong
//	answer(question, take, rate)      a report.Asked as JSON → its answer as JSON
//	sound(rig, tab, speed, progress)  → an array of Float32Array, or text: what is wrong
//
// and then calls globalThis.lapwrightReady. What panics ends the worker, which the
// page starts anew.
package main

import (
	"encoding/binary"
	"math"
	"syscall/js"

	"lapwright/page"
)

func main() {
	var lesson *page.Lesson
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
			return string(lesson.Answer([]byte(args[0].String()), samples(args[1]), args[2].Float()))
		}),
		"sound": js.FuncOf(func(_ js.Value, args []js.Value) any {
			channels, err := page.Sound(args[0].String(), args[1].String(), args[2].Float(), func(done float64) bool {
				return args[3].Invoke(done).Truthy()
			})
			if err != nil {
				return err.Error()
			}
			out := make([]any, len(channels))
			for i, c := range channels {
				out[i] = floats(c)
			}
			return out
		}),
	})
	js.Global().Call("lapwrightReady")
	select {}
}

// samples copies a Float32Array, which may be null.
func samples(v js.Value) []float32 {
	if !v.Truthy() {
		return nil
	}
	n := v.Length()
	b := make([]byte, 4*n)
	js.CopyBytesToGo(b, js.Global().Get("Uint8Array").New(v.Get("buffer"), v.Get("byteOffset"), 4*n))
	out := make([]float32, n)
	for i := range out {
		out[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
	}
	return out
}

// floats returns a Float32Array.
func floats(s []float32) js.Value {
	b := make([]byte, 0, 4*len(s))
	for _, v := range s {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	bytes := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(bytes, b)
	return js.Global().Get("Float32Array").New(bytes.Get("buffer"))
}
