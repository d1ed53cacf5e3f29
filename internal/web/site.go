package web

import (
	"context"
	"log/slog"
	"net/http"
	"runtime"
	"time"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/rig"
)

// Options says how the site is served.
type Options struct {
	Names     []string // further host names that requests may use
	Password  bool     // served beyond this machine: visitors must sign in
	Encrypted bool     // over TLS
	Now       func() time.Time
	Log       *slog.Logger
}

// Site is the workbench: what each request passes, and who answers it.
type Site struct {
	pages *pages
	pace  pace
	guard guard
	door  *door
	crowd *crowd

	assets  assets
	home    homePages
	items   itemPages
	archive archivePages
	rigs    rigPages
	tunings tuningPages
	grips   gripPages
	tunes   tunePages
	tabs    tabAnswers
	writing writingAnswers
	lessons lessonPages
	takes   takePages
	jobs    jobAnswers
}

// New makes the site over a studio. Its background work ends with ctx.
func New(ctx context.Context, st *studio.Studio, o Options) (*Site, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	files, err := readAssets()
	if err != nil {
		return nil, err
	}
	p, err := newPages(files, o)
	if err != nil {
		return nil, err
	}
	// Long work must not stand in the way of short: each kind has a queue. At
	// least two slots, so that one visitor never has all.
	light := newQueue(max(2, runtime.NumCPU()), 200)   // arranging and drawing: a person waits
	heavy := newQueue(max(2, runtime.NumCPU()-1), 200) // sounding and whole lessons
	work, err := newJobs(ctx, heavy, o.Now, o.Log)
	if err != nil {
		return nil, err
	}
	shelf := &shelf{st, newCache[*rig.Rig](8 << 20)}
	lists := newLists(st)
	sounds := &sounds{newCache[[]byte](192 << 20), heavy}
	placer := &placer{st, shelf, newCache[*workbench.Tab](64 << 20), light}
	door := &door{
		pages: p, studio: st, away: o.Password, encrypted: o.Encrypted, queue: newQueue(2, 200),
		sessions: newSessions(o.Now, func(ctx context.Context) (string, error) { return st.Settings.Get(ctx, passwordSetting) }),
	}
	return &Site{
		pages: p, pace: usualPace, guard: guard{o.Names, o.Password}, door: door, crowd: newCrowd(),
		assets:  files,
		home:    homePages{st, lists},
		items:   itemPages{st},
		archive: archivePages{st, newQueue(16, 32), heavy, work.dir, o.Now},
		rigs:    rigPages{p, st, shelf},
		tunings: tuningPages{st, shelf, light},
		grips:   gripPages{st, shelf, lists, sounds, light},
		tunes:   tunePages{st, shelf, lists, light},
		tabs:    tabAnswers{st, shelf, placer, sounds, light, heavy},
		writing: writingAnswers{st, shelf, light},
		lessons: lessonPages{st, shelf, lists, work, heavy, o.Now},
		takes:   takePages{st, shelf, lists, newCache[*openedTake](32 << 20), heavy, o.Now},
		jobs:    jobAnswers{work},
	}, nil
}

// Handler returns the site. A request passes from the outside in: our own mistakes
// are caught, its lines keep their pace, its host and origin are looked at, its
// visitor is named and counted, who must have signed in has, and the address is
// found.
func (s *Site) Handler() http.Handler {
	m := http.NewServeMux()
	s.route(m)
	inner := s.door.wrap(m)
	inner = s.crowd.wrap(s.door, s.pages, inner)
	inner = s.guard.wrap(s.pages, inner)
	return s.pages.recovered(s.pace.wrap(inner))
}
