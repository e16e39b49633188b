#include "report/evidence/check/archive.h"

#include <sys/stat.h>
#include <zip.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>

#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"

namespace trayproof::evidence {
namespace {

constexpr std::size_t chunk_bytes = 64 * 1024;
constexpr std::size_t chunk_bytes_ahead = 256 * 1024;  // a thread for fewer costs more than it brings

Error refused(const ArchiveSort& sort, std::string_view why_key) {
  return {ErrorCode::invalid, say(sort.refused, {{"why", say(why_key)}})};
}

// A foreign name as it may be shown.
std::string shown(std::string_view name) {
  std::string out;
  for (const char c : name.substr(0, 200)) out += c >= 0x20 && c < 0x7f ? c : '?';
  return shortened(out, 80);
}

bool is_number(std::string_view text) {
  return !text.empty() && text.size() <= 15 && text.find_first_not_of("0123456789") == std::string_view::npos &&
         (text == "0" || text.front() != '0');
}

bool is_pack_member(std::string_view name) {
  for (const std::string_view known : {about_member, checkpoint_member, entries_member, proofs_member, texts_member,
                                       whole_member, page_member, manual_member, sums_member, signature_member}) {
    if (name == known) return true;
  }
  if (name.starts_with(attachments_folder)) return is_hex(name.substr(attachments_folder.size()), 32);
  if (!name.starts_with(consistency_folder) || !name.ends_with(".txt")) return false;
  name.remove_prefix(consistency_folder.size());
  name.remove_suffix(4);
  return is_number(name);
}

// How many members the end of the file declares, before the library makes room for them. A zip may end in a comment of
// up to 64 KiB, and what looks like its end may stand there more than once: the greatest count is the one refused.
Result<std::size_t> declared_members(const std::string& path, std::uint64_t file_bytes, const ArchiveSort& sort) {
  constexpr std::size_t end_bytes = 22;
  std::FILE* const file = std::fopen(path.c_str(), "rbe");
  if (file == nullptr) return Error(ErrorCode::missing, path + ": " + std::strerror(errno));
  const std::size_t wanted = static_cast<std::size_t>(std::min<std::uint64_t>(file_bytes, 65535 + end_bytes));
  std::string tail(wanted, '\0');
  const bool read =
      std::fseek(file, -static_cast<long>(wanted), SEEK_END) == 0 && std::fread(tail.data(), 1, wanted, file) == wanted;
  std::fclose(file);
  if (!read) return Error(ErrorCode::unavailable, path + ": " + std::strerror(errno));
  std::size_t most = 0;
  bool found = false;
  for (std::size_t at = tail.find("PK\5\6"); at != std::string::npos; at = tail.find("PK\5\6", at + 1)) {
    if (at + end_bytes > tail.size()) continue;
    found = true;
    const auto byte = [&](std::size_t offset) {
      return static_cast<std::size_t>(static_cast<unsigned char>(tail[at + offset]));
    };
    most = std::max(most, byte(10) + byte(11) * 256);
  }
  if (!found) return refused(sort, "evidence.not-a-zip");
  return most;
}

std::string sentence_of(int code) {
  zip_error_t error;
  zip_error_init_with_code(&error, code);
  std::string out = zip_error_strerror(&error);
  zip_error_fini(&error);
  return out;
}

}  // namespace

const ArchiveSort pack_archive{&is_pack_member, "evidence.refused", "evidence.foreign-member"};

void Archive::Closer::operator()(zip* archive) const { zip_discard(archive); }
void MemberReader::Closer::operator()(zip_file* file) const { zip_fclose(file); }

Result<Archive> Archive::open(const std::string& path, const ArchiveSort& sort) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return Error(ErrorCode::missing, path + ": " + std::strerror(errno));
  if (!S_ISREG(info.st_mode)) return refused(sort, "evidence.not-a-zip");
  const auto file_bytes = static_cast<std::uint64_t>(info.st_size);
  if (file_bytes > limits::pack_file_bytes) return refused(sort, "evidence.too-large");
  TRY_LET(const std::size_t members, declared_members(path, file_bytes, sort));
  if (members > limits::pack_members) return refused(sort, "evidence.too-many");
  int code = 0;
  zip_t* const opened = zip_open(path.c_str(), ZIP_RDONLY | ZIP_CHECKCONS, &code);
  if (opened == nullptr)
    return Error(ErrorCode::invalid,
                 say(sort.refused, {{"why", say("evidence.broken-zip", {{"found", sentence_of(code)}})}}));
  Archive archive(opened);
  TRY(archive.look_at_members(file_bytes, sort));
  return archive;
}

Result<void> Archive::look_at_members(std::uint64_t file_bytes, const ArchiveSort& sort) {
  const zip_int64_t count = zip_get_num_entries(archive_.get(), 0);
  if (count < 0 || static_cast<std::uint64_t>(count) > limits::pack_members) return refused(sort, "evidence.too-many");
  std::uint64_t total = 0;
  for (zip_uint64_t i = 0; i < static_cast<zip_uint64_t>(count); ++i) {
    zip_stat_t stat;
    zip_stat_init(&stat);
    constexpr zip_uint64_t wanted = ZIP_STAT_NAME | ZIP_STAT_SIZE | ZIP_STAT_COMP_METHOD | ZIP_STAT_ENCRYPTION_METHOD;
    if (zip_stat_index(archive_.get(), i, ZIP_FL_ENC_RAW, &stat) != 0 || (stat.valid & wanted) != wanted)
      return refused(sort, "evidence.unreadable-member");
    const std::string name = stat.name;
    if (!sort.is_member(name)) return Error(ErrorCode::invalid, say(sort.foreign, {{"name", shown(name)}}));
    if (stat.encryption_method != ZIP_EM_NONE) return refused(sort, "evidence.encrypted");
    if (stat.comp_method != ZIP_CM_STORE && stat.comp_method != ZIP_CM_DEFLATE) return refused(sort, "evidence.method");
    if (stat.size > limits::pack_plain_bytes - total) return refused(sort, "evidence.too-large");
    total += stat.size;
    names_.push_back(name);
  }
  // Deflate cannot shrink more than 1032 to 1: more than that is members that lie on each other.
  if (total / 1032 > file_bytes) return refused(sort, "evidence.too-large");
  std::sort(names_.begin(), names_.end());
  const auto twice = std::adjacent_find(names_.begin(), names_.end());
  if (twice != names_.end()) return Error(ErrorCode::invalid, say("evidence.twice", {{"name", *twice}}));
  return {};
}

bool Archive::has(std::string_view name) const {
  return std::binary_search(names_.begin(), names_.end(), name, std::less<>());
}

Result<MemberReader> Archive::reader(std::string_view name) const {
  if (!has(name)) return Error(ErrorCode::missing, say("evidence.member-missing"));
  zip_stat_t stat;
  zip_stat_init(&stat);
  const std::string wanted(name);
  zip_file_t* file = nullptr;
  if (zip_stat(archive_.get(), wanted.c_str(), 0, &stat) == 0) file = zip_fopen(archive_.get(), wanted.c_str(), 0);
  if (file == nullptr) return Error(ErrorCode::corrupt, say("evidence.member-broken"));
  return MemberReader(file, stat.size);
}

MemberReader::Piece MemberReader::inflate(zip_file* file, Bytes into, std::size_t bytes_max) {
  into.resize(bytes_max);
  const std::int64_t got = zip_fread(file, into.data(), into.size());
  return {.bytes = std::move(into), .got = got};
}

Result<ByteView> MemberReader::chunk() {
  if (ended_) return ByteView();
  Piece piece = next_.valid() ? next_.get() : inflate(file_.get(), std::move(buffer_), chunk_bytes);
  const std::int64_t got = piece.got;
  if (got > 0 && ahead_)
    next_ = std::async(std::launch::async, handed_over(&inflate), file_.get(), std::move(buffer_), chunk_bytes_ahead);
  buffer_ = std::move(piece.bytes);
  if (got < 0 || static_cast<std::uint64_t>(got) > left_)
    return Error(ErrorCode::corrupt, say("evidence.member-broken"));
  left_ -= static_cast<std::uint64_t>(got);
  if (got == 0) {
    ended_ = true;
    if (left_ != 0) return Error(ErrorCode::corrupt, say("evidence.member-broken"));
  }
  return ByteView(buffer_.data(), static_cast<std::size_t>(got));
}

Result<std::optional<std::string_view>> MemberReader::line(std::size_t bytes_max) {
  while (true) {
    const std::size_t end = pending_.find('\n', given_);
    if (end != std::string::npos) {
      const std::string_view found(pending_.data() + given_, end - given_);
      if (found.size() > bytes_max) return Error(ErrorCode::invalid, say("evidence.line-too-long"));
      given_ = end + 1;
      return std::optional<std::string_view>(found);
    }
    pending_.erase(0, given_);
    given_ = 0;
    if (pending_.size() > bytes_max) return Error(ErrorCode::invalid, say("evidence.line-too-long"));
    TRY_LET(const ByteView more, chunk());
    if (more.empty() && pending_.empty()) return std::optional<std::string_view>();
    if (more.empty()) return Error(ErrorCode::invalid, say("evidence.line-open"));
    pending_ += as_text(more);
  }
}

Result<std::string> Archive::text(std::string_view name, std::size_t bytes_max) const {
  TRY_LET(auto member, reader(name));
  std::string out;
  while (true) {
    TRY_LET(const ByteView part, member.chunk());
    if (part.empty()) return out;
    out += as_text(part);
    if (out.size() > bytes_max) return Error(ErrorCode::invalid, say("evidence.member-too-long"));
  }
}

}  // namespace trayproof::evidence
