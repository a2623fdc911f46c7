package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"strings"
	"sync"

	"github.com/klauspost/compress/zstd"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// codec names how bytes are compressed.
const codec = "zstd"

// maxFile is the longest file the book takes, in bytes. SQLite's own limit for
// one value is 1,000,000,000 bytes (its SQLITE_MAX_LENGTH) after compression.
const maxFile = 512 << 20

// packer and unpacker are safe for several users at once, and costly to make.
var (
	packer = sync.OnceValues(func() (*zstd.Encoder, error) {
		return zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1))
	})
	unpacker = sync.OnceValues(func() (*zstd.Decoder, error) {
		return zstd.NewReader(nil, zstd.WithDecoderConcurrency(0), zstd.WithDecoderMaxMemory(maxFile))
	})
)

// packed is a file ready to be stored.
type packed struct {
	campaign.SourceFile
	bytes []byte // compressed
}

// pack compresses data, having checked that they are the bytes f speaks of. It
// is done before a transaction begins, so that nobody waits for it.
func pack(where string, f campaign.SourceFile, data []byte) (packed, error) {
	refuse := func(format string, args ...any) error {
		return problem.New(problem.Invalid, where, format, args...).In("nothing was stored")
	}
	if len(data) > maxFile {
		return packed{}, refuse("%s has %d bytes, and a book takes files of up to %d", f.Name, len(data), maxFile)
	}
	if int64(len(data)) != f.Size {
		return packed{}, refuse("%s was to have %d bytes and has %d", f.Name, f.Size, len(data))
	}
	if sum := hash(data); sum != f.SHA256 {
		return packed{}, refuse("%s was to have the SHA-256 %q and has %s", f.Name, f.SHA256, sum)
	}
	z, err := packer()
	if err != nil {
		return packed{}, err
	}
	return packed{SourceFile: f, bytes: z.EncodeAll(data, nil)}, nil
}

// hash is the SHA-256 of data as the book writes it.
func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// addFile stores a file, unless its bytes are there.
func addFile(ctx context.Context, tx *sql.Tx, f packed) error {
	_, err := tx.ExecContext(ctx, `
		INSERT INTO file (sha256, size, codec, bytes) VALUES ($1, $2, $3, $4)
		ON CONFLICT (sha256) DO NOTHING`,
		f.SHA256, f.Size, codec, f.bytes)
	return err
}

// File returns bytes kept under a SHA-256.
func (b *Book) File(ctx context.Context, sum string) ([]byte, error) {
	sum = strings.ToLower(sum)
	var size int64
	var stored []byte
	err := b.db.QueryRowContext(ctx, `SELECT size, bytes FROM file WHERE sha256 = $1`, sum).Scan(&size, &stored)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, problem.New(problem.NotFound, "file "+sum, "the book keeps no file of this SHA-256")
	}
	if err != nil {
		return nil, b.refuse(err)
	}
	return unpack(sum, size, stored)
}

// unpack returns the bytes of a file, having checked that they are still those
// that were stored.
func unpack(sum string, size int64, stored []byte) ([]byte, error) {
	z, err := unpacker()
	if err != nil {
		return nil, err
	}
	damaged := func(format string, args ...any) error {
		return problem.New(problem.Unreadable, "file "+sum, format, args...).
			Hint("take the file from a copy of the book, or from the logger")
	}
	if size < 0 || size > maxFile {
		return nil, damaged("its stored size is %d bytes", size)
	}
	data, err := z.DecodeAll(stored, make([]byte, 0, size))
	if err != nil {
		return nil, damaged("the stored bytes are damaged: %v", err)
	}
	if now := hash(data); now != sum || int64(len(data)) != size {
		return nil, damaged("the stored bytes have changed: they are %d with the SHA-256 %s now, and were %d", len(data), now, size)
	}
	return data, nil
}
