package serve

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"time"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/whole"
)

// farewell is how long answers under way may go on after an interrupt.
const farewell = 5 * time.Second

// Until serves until the user interrupts, and lets the answers that are
// under way then arrive.
func Until(con *console.Console, server *http.Server, l net.Listener) error {
	ended := make(chan error, 1)
	go func() {
		if server.TLSConfig != nil {
			ended <- server.ServeTLS(l, "", "")
		} else {
			ended <- server.Serve(l)
		}
	}()
	select {
	case err := <-ended:
		return err
	case <-con.Ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), farewell)
	defer cancel()
	if server.Shutdown(end) != nil {
		server.Close()
		fmt.Fprintf(con.Stderr, "lapwright: answers that had not arrived after %v were cut off\n", farewell)
	}
	return nil
}

// Reachable returns the host to open what listens at an address with on this
// machine and, when it listens at all of the machine's addresses, those for
// other machines.
func Reachable(at net.Addr) (here string, others []string) {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		host, _, _ := net.SplitHostPort(at.String())
		return host, nil
	}
	all, _ := net.InterfaceAddrs() // without them only this machine's is told
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() && n.IP.To4() != nil {
			others = append(others, n.IP.String())
		}
	}
	if tcp.IP.To4() == nil {
		return "::1", others
	}
	return "127.0.0.1", others
}

// Loopback reports whether a host can be reached from this machine alone.
func Loopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// CannotListen says why an address can't be served at.
func CannotListen(address string, err error) error {
	if whole.Why(err) == whole.AddressTaken {
		return &fault.Fault{Msg: fmt.Sprintf("%s is taken by another program", address), Hint: "is lapwright running already? choose another with --listen"}
	}
	cause := err
	var op *net.OpError
	if errors.As(err, &op) && op.Err != nil {
		cause = op.Err
	}
	var call *os.SyscallError
	if errors.As(err, &call) {
		cause = call.Err
	}
	return console.Usagef("--listen: %q can't be listened on, %v", address, cause)
}
