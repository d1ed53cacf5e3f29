package whole

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// native is the system at hand: Windows.
type native struct{}

func (native) Reason(number uintptr) Reason { return windowsReason(number) }

func (native) Rename(from, to string) error { return os.Rename(from, to) }

// lockedByte lies far behind what the file holds: a lock on Windows keeps
// others from reading what it covers.
const lockedByte = 1 << 30

func (native) Lock(f *os.File) (bool, error) {
	at := windows.Overlapped{Offset: lockedByte}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &at)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return false, nil
	}
	return err == nil, err
}
