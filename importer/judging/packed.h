// Numbers of a measured curve as few bytes: a column of what a logger wrote is decimal in some unit, and changes little
// from row to row. What comes out of `take` is, bit for bit, what was put. docs/curve-format.md is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/bytes.h"

namespace trayproof::judging {

class Packer {
 public:
  void number(std::uint64_t value);  // seven bits a byte, lowest first
  void signed_number(std::int64_t value);
  void text(std::string_view text);
  void real(double value);  // its bits, lowest byte first

  enum class Kind { time, temperature, pressure };
  // NaN is a missing value; of zero the sign is not kept.
  void column(std::span<const double> values, Kind kind);

  Bytes done() { return std::move(bytes_); }

 private:
  Bytes bytes_;
};

// Every taking fails for good where the bytes end or are not what a Packer writes.
class Unpacker {
 public:
  explicit Unpacker(ByteView bytes) : bytes_(bytes) {}
  std::optional<std::uint64_t> number(std::uint64_t most);
  std::optional<std::int64_t> signed_number();
  std::optional<std::string> text(std::size_t most);
  std::optional<double> real();
  std::optional<std::vector<double>> column(std::size_t size, Packer::Kind kind);
  bool at_end() const { return at_ == bytes_.size(); }

 private:
  std::optional<std::uint8_t> byte();
  bool fixed(std::vector<double>& values, Packer::Kind kind, bool straight);
  bool planes(std::vector<double>& values);

  ByteView bytes_;
  std::size_t at_ = 0;
};

}  // namespace trayproof::judging
