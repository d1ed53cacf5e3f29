package writing

import "lapwright/tune"

// beamLevels gives, for each event of a line, what each of its beams does:
// begin, continue, end, or a hook. A beam runs on until the source separates
// two notes; where it separates none in the whole bar, beams keep to the beat.
func beamLevels(b *tune.Bar, line []tune.Event) [][]string {
	out := make([][]string, len(line))
	byBeat := true
	for i := range line {
		if line[i].BeamEnd {
			byBeat = false
		}
	}
	beat := b.Meter.Beat()
	for i := 0; i < len(line); {
		if line[i].Flags() == 0 {
			i++
			continue
		}
		end := i + 1
		for end < len(line) && line[end].Flags() > 0 && !line[end-1].BeamEnd && (!byBeat || line[end].At/beat == line[end-1].At/beat) {
			end++
		}
		if end-i > 1 {
			beamRun(line[i:end], out[i:end])
		}
		i = end
	}
	return out
}

// beamRun sets the beams of notes that share one: level by level, a beam joins
// neighbours that both have it, and a note alone on a level gets a hook.
func beamRun(line []tune.Event, out [][]string) {
	for i := range line {
		n := min(line[i].Flags(), 8)
		for level := 1; level <= n; level++ {
			before := i > 0 && line[i-1].Flags() >= level
			after := i+1 < len(line) && line[i+1].Flags() >= level
			kind := "forward hook"
			switch {
			case before && after:
				kind = "continue"
			case after:
				kind = "begin"
			case before:
				kind = "end"
			case i > 0:
				kind = "backward hook"
			}
			out[i] = append(out[i], kind)
		}
	}
}
