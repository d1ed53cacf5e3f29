package web

import (
	"container/list"
	"context"
	"sync"
)

// cache keeps what was worked out, by key, up to a number of bytes, and lets
// one asker work while others for the same key wait for it.
type cache[V any] struct {
	mu     sync.Mutex
	most   int64
	used   int64
	items  map[string]*list.Element
	recent *list.List // front is the newest
	making map[string]*making[V]
}

type kept[V any] struct {
	key   string
	value V
	size  int64
}

type making[V any] struct {
	done    chan struct{}
	value   V
	err     error
	waiting int
	cancel  context.CancelFunc
}

func newCache[V any](most int64) *cache[V] {
	return &cache[V]{most: most, items: map[string]*list.Element{}, recent: list.New(), making: map[string]*making[V]{}}
}

// get returns the value for key, made by work when it isn't kept. work gives the
// value and its size in bytes; errors are not kept. Work goes on while anybody
// waits for it, whoever asked first; when the last one has left, its context
// ends.
func (c *cache[V]) get(ctx context.Context, key string, work func(ctx context.Context) (V, int64, error)) (V, error) {
	c.mu.Lock()
	if e, ok := c.items[key]; ok {
		c.recent.MoveToFront(e)
		c.mu.Unlock()
		return e.Value.(*kept[V]).value, nil
	}
	m, ok := c.making[key]
	if !ok {
		own, cancel := context.WithCancel(context.WithoutCancel(ctx))
		m = &making[V]{done: make(chan struct{}), cancel: cancel}
		c.making[key] = m
		go c.make(own, key, m, work)
	}
	m.waiting++
	c.mu.Unlock()
	select {
	case <-m.done:
		return m.value, m.err
	case <-ctx.Done():
		c.mu.Lock()
		defer c.mu.Unlock()
		if m.waiting--; m.waiting == 0 {
			m.cancel()
			// The next asker begins anew.
			if c.making[key] == m {
				delete(c.making, key)
			}
		}
		var none V
		return none, ctx.Err()
	}
}

func (c *cache[V]) make(ctx context.Context, key string, m *making[V], work func(ctx context.Context) (V, int64, error)) {
	defer m.cancel()
	var size int64
	m.err = safely(func() error {
		var err error
		m.value, size, err = work(ctx)
		return err
	})
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.making[key] == m {
		delete(c.making, key)
	}
	if _, ok := c.items[key]; !ok && m.err == nil && size <= c.most {
		c.items[key] = c.recent.PushFront(&kept[V]{key, m.value, size})
		c.used += size
		for c.used > c.most {
			last := c.recent.Back()
			k := c.recent.Remove(last).(*kept[V])
			delete(c.items, k.key)
			c.used -= k.size
		}
	}
	close(m.done)
}
