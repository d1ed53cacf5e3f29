package toml

// reader reads one text.
type reader struct {
	figures
	nested int
	counts map[string]int // tables so far of each list of tables
	doc    *Document
}

// keys reads a key, which may be dotted, and the white space around it.
func (r *reader) keys() []key {
	var out []key
	for {
		r.skipSpace()
		k := key{at: r.at}
		switch c := r.peek(); {
		case c == '"':
			r.at++
			k.text = r.basic()
		case c == '\'':
			r.at++
			k.text = r.literal()
		default:
			for bare(r.peek()) {
				r.at++
			}
			if r.at == k.at {
				r.failHere("expected a key, and got %s", r.seen())
			}
			k.text = string(r.src[k.at:r.at])
		}
		out = append(out, k)
		r.skipSpace()
		if !r.take(".") {
			return out
		}
	}
}

func bare(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || isDigit(c) || c == '-' || c == '_'
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// value reads a value and notes where it stands.
func (r *reader) value(path string) any {
	start := r.at
	r.doc.Values[path] = r.place(start)
	switch c := r.peek(); {
	case c == '"' || c == '\'':
		s := r.text()
		r.doc.Typed[path] = s
		return s
	case c == '[':
		return r.list(path)
	case c == '{':
		return r.table(path)
	case r.take("true"):
		return true
	case r.take("false"):
		return false
	case isDigit(c) && r.momentBegins():
		return r.moment()
	case isDigit(c) || c == '+' || c == '-' || c == 'i' || c == 'n':
		v := r.number()
		r.doc.Typed[path] = string(r.src[start:r.at])
		return v
	}
	r.failHere("expected a value, and got %s", r.seen())
	return nil
}

// nest goes one list or table deeper; what it returns goes out again.
func (r *reader) nest() func() {
	if r.nested++; r.nested > maxNested {
		r.failHere("lists and tables stand in each other more than %d deep", maxNested)
	}
	r.at++
	return func() { r.nested-- }
}

func (r *reader) list(path string) any {
	defer r.nest()()
	out := []any{}
	for {
		if r.blanks(); r.take("]") {
			return out
		}
		out = append(out, r.value(path+index(len(out)+1)))
		if r.blanks(); !r.take(",") && r.peek() != ']' {
			r.failHere(`expected "," or "]" in a list, and got %s`, r.seen())
		}
	}
}

func (r *reader) table(path string) any {
	defer r.nest()()
	t := newEntry(embedded)
	for {
		if r.blanks(); r.take("}") {
			return t.in
		}
		r.keyValue(t, path)
		if r.blanks(); !r.take(",") && r.peek() != '}' {
			r.failHere(`expected "," or "}" in a table, and got %s`, r.seen())
		}
	}
}
