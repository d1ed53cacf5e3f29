//go:build unix

package whole

import (
	"errors"
	"os"
	"syscall"
)

// native is the system at hand: one of the Unix family.
type native struct{}

func (native) Reason(number uintptr) Reason {
	switch syscall.Errno(number) {
	case syscall.ENOENT:
		return Missing
	case syscall.EACCES, syscall.EPERM:
		return Denied
	case syscall.ENOTDIR:
		return NotFolder
	case syscall.EROFS:
		return ReadOnly
	case syscall.ENAMETOOLONG:
		return TooLong
	case syscall.ENOSPC, syscall.EDQUOT:
		return Full
	case syscall.ETXTBSY:
		return InUse
	case syscall.EPIPE:
		return Hung
	case syscall.EADDRINUSE:
		return AddressTaken
	}
	return Unknown
}

func (native) Rename(from, to string) error { return os.Rename(from, to) }

func (native) Lock(f *os.File) (bool, error) {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return false, nil
	}
	return err == nil, err
}
