#include <sys/mman.h>
#include <unistd.h>

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/log/chain.h"
#include "ledger/log/note.h"
#include "report/parcel/arrived.h"
#include "report/parcel/format.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// CRC-32 of zip, bit by bit.
std::uint32_t crc_of(std::string_view bytes) {
  std::uint32_t crc = 0xFFFFFFFF;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = crc >> 1 ^ (0xEDB88320 & (0 - (crc & 1)));
  }
  return ~crc;
}

void put(std::string& out, std::uint64_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) out += static_cast<char>(value >> 8 * i & 0xFF);
}

// A zip of these members, stored. PKWARE APPNOTE 4.3.7, 4.3.12 and 4.3.16.
std::string zip_of(const std::array<std::string_view, 3>& members) {
  constexpr std::array names = {parcel::about_member, parcel::growth_member, parcel::entries_member};
  std::string out, central;
  for (std::size_t i = 0; i < members.size(); ++i) {
    std::string shared;
    put(shared, 20, 2), put(shared, 0, 4), put(shared, 0x00210000, 4);  // version, stored, 1980-01-01
    put(shared, crc_of(members[i]), 4), put(shared, members[i].size(), 4), put(shared, members[i].size(), 4);
    put(shared, names[i].size(), 2), put(shared, 0, 2);
    central += "PK\1\2";
    put(central, 20, 2);
    central += shared;
    put(central, 0, 2), put(central, 0, 2), put(central, 0, 2), put(central, 0, 4), put(central, out.size(), 4);
    central += names[i];
    out += "PK\3\4" + shared;
    out += names[i];
    out += members[i];
  }
  std::string end = "PK\5\6";
  put(end, 0, 4), put(end, members.size(), 2), put(end, members.size(), 2);
  put(end, central.size(), 4), put(end, out.size(), 4), put(end, 0, 2);
  return out + central + end;
}

// What is no zip are the members, parted by zero bytes: so changes come past the checksums of a zip.
std::string as_zip(std::string_view bytes) {
  if (bytes.starts_with("PK")) return std::string(bytes);
  std::array<std::string_view, 3> members;
  for (std::string_view& one : members) {
    const std::size_t end = bytes.find('\0');
    one = bytes.substr(0, end);
    bytes.remove_prefix(end == std::string_view::npos ? bytes.size() : end + 1);
  }
  return zip_of(members);
}

void entry_holds(const evidence::Entry& entry) {
  must_hold(entry.hash == log::leaf_hash(entry.bytes), "an entry's hash is that of its bytes");
  must_hold(json::canonical(entry.event()) == entry.bytes, "an entry's bytes are canonical");
  must_hold(entry.recorded.has_value(), "an entry says when");
}

parcel::Walked walked(const parcel::Arrived& arrived) {
  std::int64_t next = arrived.about().since;
  log::Frontier tree;
  const auto done = arrived.walk({}, [&](const evidence::Entry& entry) -> Result<void> {
    must_hold(entry.seq == ++next, "entries come one after the other");
    must_hold(next <= static_cast<std::int64_t>(arrived.about().head.size), "none behind the checkpoint");
    entry_holds(entry);
    tree.add(entry.hash);
    return {};
  });
  must_hold(done.ok(), "whatever it says is an answer");
  const parcel::Walked& walk = done.value();
  if (walk.wrong) {
    must_hold(!walk.wrong->what.empty(), "what is wrong is said");
    return walk;
  }
  const parcel::About& about = arrived.about();
  must_hold(walk.entries == static_cast<std::int64_t>(about.head.size) - about.since, "all are there");
  must_hold(about.since > 0 || tree.root() == about.head.root, "they lead to the root");
  log::VerifierKey key{about.origin, {}};
  const auto note = log::parse_note(about.checkpoint);
  must_hold(note.ok() && from_hex(walk.ledger_key, key.key) && log::is_signed_by(note.value(), key),
            "the ledger's key signed the checkpoint");
  return walk;
}

}  // namespace

// A stranger's parcel is answered or refused, the same each time; what holds is signed by the ledger that it names.
void parcel_file(std::string_view bytes) {
  const std::string zip = as_zip(bytes);
  const int file = ::memfd_create("parcel", MFD_CLOEXEC);
  must_hold(file >= 0, "a file in memory");
  must_hold(::write(file, zip.data(), zip.size()) == static_cast<ssize_t>(zip.size()), "the whole input in it");
  const auto arrived = parcel::Arrived::open("/proc/self/fd/" + std::to_string(file));
  if (arrived.ok()) {
    const parcel::Walked once = walked(arrived.value());
    const parcel::Walked again = walked(arrived.value());
    must_hold(once.wrong.has_value() == again.wrong.has_value() && once.entries == again.entries, "the same each time");
    must_hold(!once.wrong || (once.wrong->seq == again.wrong->seq && once.wrong->what == again.wrong->what),
              "the same is wrong each time");
  } else {
    must_hold(arrived.error().code() == ErrorCode::invalid || arrived.error().code() == ErrorCode::corrupt,
              "refused and not broken off");
  }
  ::close(file);
}

}  // namespace trayproof::fuzz
