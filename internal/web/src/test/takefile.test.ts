import assert from "node:assert/strict";
import test from "node:test";

import { crc } from "../flac";
import { crc32 } from "../zip";

test("the check sums are those that their formats name", () => {
  // Check values of CRC-8/SMBUS, CRC-16/UMTS and CRC-32/ISO-HDLC, which are what FLAC and ZIP use
  // (G. Cook, Catalogue of parametrised CRC algorithms).
  const nine = new TextEncoder().encode("123456789");
  assert.equal(crc(nine, 0x07, 8), 0xf4);
  assert.equal(crc(nine, 0x8005, 16), 0xfee8);
  assert.equal(crc32(nine), 0xcbf43926);
});
