#include "report/evidence/check/entry_line.h"

#include <cstdint>
#include <cstring>

#include "ledger/text/json.h"
#include "ledger/text/plain_bytes.h"

namespace trayproof::evidence {
namespace {

bool takes(std::string_view& rest, std::string_view part) {
  if (!rest.starts_with(part)) return false;
  rest.remove_prefix(part.size());
  return true;
}

// Up to the quote that ends it. False where another escape than those of quotes and backslashes comes, or a control
// character. Whether it is UTF-8 shows when the entry itself is read.
bool entry_text(std::string_view& rest, std::string& out) {
  out.resize(rest.size());
  char* to = out.data();
  const char* at = rest.data();
  const char* const end = at + rest.size();
  while (at != end) {
    // Eight are copied at once, of which those before the first that does not stand for itself count.
    if (end - at >= 8) {
      std::uint64_t eight = 0;
      std::memcpy(&eight, at, sizeof eight);
      std::memcpy(to, &eight, sizeof eight);
      const std::uint64_t marks = json::need_backslash(eight);
      const std::size_t plain = marks == 0 ? sizeof eight : json::plain_of(marks);
      at += plain;
      to += plain;
      if (marks == 0) continue;
    }
    char c = *at++;
    if (c == '"') {
      out.resize(static_cast<std::size_t>(to - out.data()));
      rest.remove_prefix(static_cast<std::size_t>(at - rest.data()));
      return true;
    }
    if (c == '\\') {
      if (at == end || (*at != '"' && *at != '\\')) return false;
      c = *at++;
    } else if (json::needs_backslash(c)) {
      return false;
    }
    *to++ = c;
  }
  return false;
}

// Up to the quote that ends it, where all of it is ASCII that stands for itself.
bool plain_text(std::string_view& rest, std::string& out) {
  std::uint64_t seen = 0;
  const char* const end = json::past_plain(rest.data(), rest.data() + rest.size(), seen);
  const auto size = static_cast<std::size_t>(end - rest.data());
  const std::string_view found = rest.substr(0, size);
  if (size == rest.size() || *end != '"' || !json::all_ascii(seen)) return false;
  out = found;
  rest.remove_prefix(size + 1);
  return true;
}

bool as_printed(std::string_view rest, EntryLine& row) {
  return takes(rest, "{\"entry\":\"") && entry_text(rest, row.entry) &&  //
         takes(rest, ",\"hash\":\"") && plain_text(rest, row.hash) &&    //
         takes(rest, ",\"key\":\"") && plain_text(rest, row.key) &&      //
         takes(rest, ",\"sig\":\"") && plain_text(rest, row.sig) && rest == "}";
}

}  // namespace

bool read_entry_line(std::string_view line, EntryLine& row) {
  if (as_printed(line, row)) return true;
  const auto object = json::parse(line);
  if (!object.ok() || !object.value().is_object() || object.value().members().size() != 4) return false;
  const auto put = [&](std::string_view name, std::string& out) {
    const auto text = object.value().text_at(name);
    if (text) out = *text;
    return text.has_value();
  };
  return put("entry", row.entry) && put("hash", row.hash) && put("key", row.key) && put("sig", row.sig);
}

}  // namespace trayproof::evidence
