package web

import (
	"errors"
	"io"
	"net/http"
	"time"
)

// pace is how slow a line may be. It may not stand still: what is sent or
// received must go on, a byte in so much time, after a first allowance. A large file on
// a slow line arrives; a visitor who holds a connection open with a trickle does
// not keep it.
type pace struct {
	allowance time.Duration
	byte      time.Duration // for each byte, at the most
}

var usualPace = pace{30 * time.Second, time.Second / (2 << 10)}

// paceBlock is how much of an answer is timed at once, in bytes.
const paceBlock = 64 << 10

// within returns how long so many bytes may take.
func (p pace) within(bytes int64) time.Duration { return p.allowance + time.Duration(bytes)*p.byte }

// wrap lets a request through so that its lines keep their pace.
func (p pace) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		control := http.NewResponseController(w)
		if r.Body != nil && r.Body != http.NoBody {
			body := &pacedReader{ReadCloser: r.Body, control: control, pace: p, began: time.Now()}
			defer body.end()
			r.Body = body
		}
		next.ServeHTTP(&pacedWriter{w, control, p}, r)
	})
}

// pacedReader is a request's body. The time that it may take grows with what
// has come.
type pacedReader struct {
	io.ReadCloser
	control *http.ResponseController
	pace    pace
	began   time.Time
	got     int64 // bytes
	whole   bool
}

// Read reads, and frees the connection from the time limit when all has come.
func (p *pacedReader) Read(b []byte) (int, error) {
	p.control.SetReadDeadline(p.began.Add(p.pace.within(p.got)))
	n, err := p.ReadCloser.Read(b)
	p.got += int64(n)
	if errors.Is(err, io.EOF) {
		// From here on the connection is only watched for its end.
		p.whole = true
		p.control.SetReadDeadline(time.Time{})
	}
	return n, err
}

// end gives what nobody has read of the body a last time to come; the server
// then closes the connection.
func (p *pacedReader) end() {
	if !p.whole {
		p.control.SetReadDeadline(time.Now().Add(min(p.pace.allowance, time.Second)))
	}
}

// pacedWriter is an answer. Each block of it has its own time.
type pacedWriter struct {
	http.ResponseWriter
	control *http.ResponseController
	pace    pace
}

// WriteHeader gives the head of the answer its time.
func (p *pacedWriter) WriteHeader(status int) {
	p.control.SetWriteDeadline(time.Now().Add(p.pace.within(0)))
	p.ResponseWriter.WriteHeader(status)
}

func (p *pacedWriter) Write(b []byte) (int, error) {
	done := 0
	for {
		block := b[done:min(len(b), done+paceBlock)]
		p.control.SetWriteDeadline(time.Now().Add(p.pace.within(int64(len(block)))))
		n, err := p.ResponseWriter.Write(block)
		done += n
		if err != nil || done == len(b) {
			return done, err
		}
	}
}

// Unwrap lets http.ResponseController through.
func (p *pacedWriter) Unwrap() http.ResponseWriter { return p.ResponseWriter }
