// Command lapwright-page is the core as the page of a lesson runs it, in a worker
// of the student's browser. It sets globalThis.lapwright:
//
//	open(text)                     what the page carries; "" or what is wrong. Not asked where a page carries no lesson
//	answer(question, take, rate)   a report.Asked as JSON → its answer as JSON
//	begin(id, wished)              begins to sound a report.Wished as JSON; "" or what is wrong
//	next(id, samples)              → the next block: its parts by name, each an array of
//	                               Float32Array, and where it ends; null when all is over
//	end(id)                        no more of it is wanted
//
// and then calls globalThis.lapwrightReady. What panics ends the worker, which the
// page starts anew.
package main
