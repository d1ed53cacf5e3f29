package studio

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"io"
	"sync/atomic"
	"testing"
)

// counting is the database's driver with a count of the statements that are
// run and the rows that are read.
type counting struct {
	driver.Driver
	statements, rows atomic.Int64
}

var counted = &counting{}

func init() {
	db, err := sql.Open("sqlite", "")
	if err != nil {
		panic(err)
	}
	counted.Driver = db.Driver()
	db.Close()
	sql.Register("counted", counted)
}

// countWork lets studios that the test opens be counted.
func countWork(t *testing.T) {
	before := driverName
	driverName = "counted"
	t.Cleanup(func() { driverName = before })
}

// during returns the statements and rows that work took.
func during(work func()) (statements, rows int64) {
	s, r := counted.statements.Load(), counted.rows.Load()
	work()
	return counted.statements.Load() - s, counted.rows.Load() - r
}

func (d *counting) Open(name string) (driver.Conn, error) {
	c, err := d.Driver.Open(name)
	return &countedConn{c, d}, err
}

type countedConn struct {
	driver.Conn
	d *counting
}

func (c *countedConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	return c.Conn.(driver.ConnBeginTx).BeginTx(ctx, o)
}

func (c *countedConn) ExecContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Result, error) {
	c.d.statements.Add(1)
	return c.Conn.(driver.ExecerContext).ExecContext(ctx, q, args)
}

func (c *countedConn) QueryContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Rows, error) {
	c.d.statements.Add(1)
	rows, err := c.Conn.(driver.QueryerContext).QueryContext(ctx, q, args)
	return &countedRows{rows, c.d}, err
}

type countedRows struct {
	driver.Rows
	d *counting
}

func (r *countedRows) Next(to []driver.Value) error {
	r.d.rows.Add(1)
	return r.Rows.Next(to)
}

// readerAt counts the bytes that are read, and can do something in between.
type readerAt struct {
	io.ReaderAt
	bytes  int64
	before func(offset int64)
}

func (r *readerAt) ReadAt(b []byte, at int64) (int, error) {
	if r.before != nil {
		r.before(at)
	}
	n, err := r.ReaderAt.ReadAt(b, at)
	r.bytes += int64(n)
	return n, err
}
