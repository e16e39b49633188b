#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "ledger/people/key_file.h"
#include "tests/fuzz/target.h"
#include "tests/support/folder.h"

namespace trayproof::fuzz {
namespace {

void put(const std::string& path, std::string_view bytes) {
  std::remove(path.c_str());
  ::umask(077);
  std::ofstream out(path, std::ios::binary);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

std::string shown(const people::KeyFile& keys) {
  std::string out = keys.ledger + " " + keys.station + " " + hex(keys.station_key.seed()) + " " +
                    hex(keys.ledger_key.seed()) + " " + hex(keys.lookup_secret) + " " + hex(keys.sealing_secret) + " " +
                    hex(keys.mark_secret);
  for (const auto& next : {keys.next_station_key, keys.next_ledger_key}) out += next ? " " + hex(next->seed()) : " -";
  for (const people::SealedKey& one : keys.persons) out += " " + json::canonical(people::to_json(one));
  return out;
}

}  // namespace

// A key file that is read is written and read again as the same.
void key_file(std::string_view bytes) {
  static const tests::Folder folder;
  static const std::string path = folder.file("a.keys");
  static const std::string again = folder.file("b.keys");
  put(path, bytes);
  const auto keys = people::KeyFile::read(path);
  if (!keys.ok()) {
    must_hold(keys.error().code() == ErrorCode::corrupt, "no key file is damage");
    return;
  }
  std::remove(again.c_str());
  must_hold(keys.value().write(again).ok(), "keys can be written");
  const auto read = people::KeyFile::read(again);
  must_hold(read.ok() && shown(read.value()) == shown(keys.value()), "written and read the same");
}

}  // namespace trayproof::fuzz
