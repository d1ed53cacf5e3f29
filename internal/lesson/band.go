package lesson

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"lapwright/sound"
	"lapwright/sound/band"
	"lapwright/sound/opus"
	"lapwright/tab"
)

// bands are what plays along in a lesson: once for all instruments with which it plays the same.
type bands struct {
	mu   sync.Mutex
	made map[string]func() ([]byte, error)
}

// of returns the band for a tab, one channel, compressed; nil where the tune has no chord symbols or no beat.
func (b *bands) of(ctx context.Context, t *tab.Tab, o sound.Options) ([]byte, error) {
	backing, err := band.FromSymbols(t)
	if err != nil || backing == nil {
		return nil, nil // without chords, or in free meter, nobody plays along
	}
	key := fmt.Sprint(t.Rig.Reference, backing.Written(t))
	b.mu.Lock()
	if b.made == nil {
		b.made = map[string]func() ([]byte, error){}
	}
	once, ok := b.made[key]
	if !ok {
		once = sync.OnceValues(func() ([]byte, error) {
			a, err := PlayAlong(ctx, t, backing, o)
			if err != nil {
				return nil, err
			}
			return opus.Write(a)
		})
		b.made[key] = once
	}
	b.mu.Unlock()
	return once()
}

// PlayAlong sounds a band alone, as one channel, from where the music begins. It ends when ctx does.
func PlayAlong(ctx context.Context, t *tab.Tab, backing *band.Backing, o sound.Options) (*sound.Audio, error) {
	o.Band, o.CountIn = backing, 0
	o.Progress = func(float64) bool { return ctx.Err() == nil }
	a, err := sound.RenderBand(t, o)
	switch {
	case errors.Is(err, sound.ErrStopped):
		return nil, ctx.Err()
	case err != nil:
		return nil, err
	}
	return band.Mono(a), nil
}
