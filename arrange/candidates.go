package arrange

import (
	"lapwright/grip"
	"lapwright/rig"
)

// neck is a rig as one player can use it, with what the person who asks wants.
type neck struct {
	*grip.Neck
	opt *Options
}

func newNeck(r *rig.Rig, o *Options) *neck {
	n := &neck{grip.NewNeck(r, o.limits(), o.region()), o}
	n.TakeHabits()
	return n
}

// candidates returns the grips of every moment: its own (gripsFor), and for a
// moment of one note that is begun the slants that serve a neighbour too. The
// steel is never leaned for one note alone: a slant is taken up for a single note
// when it is one of the neighbouring moment's grips, or, beside another single
// note, when it goes through both on two strings at two frets.
func (n *neck) candidates(w *watch, p *problem) ([]layer, error) {
	layers := make([]layer, len(p.moments))
	own := make([][]grip.Grip, len(p.moments))
	for i := range p.moments {
		if err := w.moment(); err != nil {
			return nil, err
		}
		own[i] = n.Grips(&p.moments[i].Due)
	}
	for i := range p.moments {
		if err := w.moment(); err != nil {
			return nil, err
		}
		m := &p.moments[i]
		grips := own[i]
		if n.MaxAngle > 0 && m.Alone() {
			extra := len(grips)
			grips = grips[:extra:extra] // what is shared must not be written over
			for _, j := range [2]int{i - 1, i + 1} {
				if j >= 0 && j < len(p.moments) {
					grips = n.Borrow(grips, extra, &m.Due, &p.moments[j].Due, own[j])
				}
			}
		}
		layers[i].grips = grips
	}
	return layers, nil
}
