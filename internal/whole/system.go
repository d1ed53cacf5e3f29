package whole

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// Reason is why the system refused a file, a connection or an address, as far
// as it is known here.
type Reason int

// The reasons.
const (
	Unknown      Reason = iota
	Missing             // a file or folder is not there
	Denied              // it may not be touched
	NotFolder           // a part of the path is a file
	ReadOnly            // the file system may not be written to
	TooLong             // the name
	Full                // the disk
	InUse               // another program holds the file open and won't share it
	Hung                // the reader of a pipe has gone
	AddressTaken        // another program listens there
)

// system is what systems rule differently about files. Each has its own
// numbers for errors, and its own idea of what may be done to an open file.
type system interface {
	// Reason returns the reason for an error number.
	Reason(number uintptr) Reason
	// Rename moves a file or folder, over a file that is there.
	Rename(from, to string) error
	// Lock takes a file for this process alone until it is closed or the process
	// ends. It reports false when another holds it.
	Lock(f *os.File) (bool, error)
}

// here is the system that the program runs on. Tests put another in its place.
var here system = native{}

// Why returns the reason for an error.
func Why(err error) Reason {
	var number syscall.Errno
	if errors.As(err, &number) {
		if r := here.Reason(uintptr(number)); r != Unknown {
			return r
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Missing
	case errors.Is(err, fs.ErrPermission):
		return Denied
	}
	return Unknown
}

// windowsReason knows the error numbers of Windows ("System Error Codes" and
// "Windows Sockets Error Codes" in its documentation, from memory). It stands
// here rather than beside the system so that it is tested everywhere.
func windowsReason(number uintptr) Reason {
	switch number {
	case 2: // ERROR_FILE_NOT_FOUND
		return Missing
	case 3: // ERROR_PATH_NOT_FOUND
		return Missing
	case 5: // ERROR_ACCESS_DENIED
		return Denied
	case 19: // ERROR_WRITE_PROTECT
		return ReadOnly
	case 32, 33: // ERROR_SHARING_VIOLATION, ERROR_LOCK_VIOLATION
		return InUse
	case 39, 112: // ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL
		return Full
	case 109, 232: // ERROR_BROKEN_PIPE, ERROR_NO_DATA
		return Hung
	case 111, 206: // ERROR_BUFFER_OVERFLOW, ERROR_FILENAME_EXCED_RANGE
		return TooLong
	case 267: // ERROR_DIRECTORY
		return NotFolder
	case 10048: // WSAEADDRINUSE
		return AddressTaken
	}
	return Unknown
}
