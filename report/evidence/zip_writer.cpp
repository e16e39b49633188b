#include "report/evidence/zip_writer.h"

#include <zip.h>

#include <algorithm>
#include <cstring>
#include <memory>
#include <optional>

#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"

namespace trayproof::evidence {
namespace {

// One member while the library reads it. Lives as long as the archive is open.
class Source {
 public:
  explicit Source(const Member& member) : member_(&member) { zip_error_init(&error_); }
  ~Source() { zip_error_fini(&error_); }
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;
  const std::optional<Error>& failed() const { return failed_; }

  static zip_int64_t call(void* self, void* bytes, zip_uint64_t length, zip_source_cmd_t command) {
    return static_cast<Source*>(self)->answer(bytes, length, command);
  }

 private:
  zip_int64_t answer(void* bytes, zip_uint64_t length, zip_source_cmd_t command) {
    switch (command) {
      case ZIP_SOURCE_SUPPORTS:
        return zip_source_make_command_bitmap(ZIP_SOURCE_OPEN, ZIP_SOURCE_READ, ZIP_SOURCE_CLOSE, ZIP_SOURCE_STAT,
                                              ZIP_SOURCE_ERROR, ZIP_SOURCE_FREE, -1);
      case ZIP_SOURCE_OPEN:
        chunks_ = member_->open();
        held_.clear();
        given_ = 0;
        return 0;
      case ZIP_SOURCE_READ:
        return read(static_cast<char*>(bytes), length);
      case ZIP_SOURCE_CLOSE:
        chunks_ = nullptr;
        held_ = {};
        return 0;
      case ZIP_SOURCE_STAT: {
        auto* stat = static_cast<zip_stat_t*>(bytes);
        zip_stat_init(stat);
        stat->size = member_->bytes;
        stat->valid = ZIP_STAT_SIZE;
        return static_cast<zip_int64_t>(sizeof *stat);
      }
      case ZIP_SOURCE_ERROR:
        return zip_error_to_data(&error_, bytes, length);
      case ZIP_SOURCE_FREE:
        return 0;
      default:
        zip_error_set(&error_, ZIP_ER_OPNOTSUPP, 0);
        return -1;
    }
  }

  zip_int64_t read(char* into, zip_uint64_t length) {
    if (given_ == held_.size()) {
      auto next = chunks_();
      if (!next.ok()) {
        failed_ = next.error();
        zip_error_set(&error_, ZIP_ER_READ, 0);
        return -1;
      }
      held_ = std::move(next).value();
      given_ = 0;
    }
    const std::size_t part = std::min<std::size_t>(length, held_.size() - given_);
    std::memcpy(into, held_.data() + given_, part);
    given_ += part;
    return static_cast<zip_int64_t>(part);
  }

  const Member* member_;
  Chunks chunks_;
  std::string held_;
  std::size_t given_ = 0;
  zip_error_t error_{};
  std::optional<Error> failed_;
};

struct DosTime {
  zip_uint16_t time = 0;
  zip_uint16_t date = 0;
};

DosTime dos_time(Instant at) {
  constexpr Instant earliest{315'532'800'000};  // 1980-01-01
  const CivilTime civil = civil_of(std::max(at, earliest), 0);
  const auto time = civil.hour << 11 | civil.minute << 5 | civil.second / 2;
  const auto date = (civil.date.year - 1980) << 9 | civil.date.month << 5 | civil.date.day;
  return {static_cast<zip_uint16_t>(time), static_cast<zip_uint16_t>(date)};
}

Error failure(const std::string& path, const char* found) {
  return {ErrorCode::unavailable, say("pack.zip-failed", {{"file", path}, {"found", found}})};
}

struct Discard {
  void operator()(zip_t* archive) const { zip_discard(archive); }
};

}  // namespace

Member member_of(std::string name, std::string bytes) {
  Member member;
  member.name = std::move(name);
  const auto held = std::make_shared<const std::string>(std::move(bytes));
  member.open = [held]() -> Chunks {
    return [held, given = false]() mutable -> Result<std::string> {
      if (given) return std::string();
      given = true;
      return *held;
    };
  };
  return member;
}

Result<void> measure(Member& member) {
  const Chunks chunks = member.open();
  crypto::Sha256Stream stream;
  member.bytes = 0;
  while (true) {
    TRY_LET(const std::string part, chunks());
    if (part.empty()) break;
    stream.feed(as_bytes(part));
    member.bytes += part.size();
  }
  member.sha256 = stream.finish();
  return {};
}

Result<void> write_zip(const std::string& path, std::vector<Member>& members, Instant at) {
  std::sort(members.begin(), members.end(), [](const Member& a, const Member& b) { return a.name < b.name; });
  const DosTime stamp = dos_time(at);
  std::vector<std::unique_ptr<Source>> sources;
  int code = 0;
  std::unique_ptr<zip_t, Discard> archive(zip_open(path.c_str(), ZIP_CREATE | ZIP_TRUNCATE, &code));
  if (!archive) return failure(path, say("pack.zip-open").c_str());
  for (const Member& member : members) {
    sources.push_back(std::make_unique<Source>(member));
    zip_source_t* const source = zip_source_function(archive.get(), &Source::call, sources.back().get());
    const zip_int64_t index =
        source == nullptr ? -1 : zip_file_add(archive.get(), member.name.c_str(), source, ZIP_FL_ENC_UTF_8);
    if (index < 0) return failure(path, zip_strerror(archive.get()));
    const auto place = static_cast<zip_uint64_t>(index);
    constexpr zip_uint32_t plain_file = 0100644U << 16;
    if (zip_set_file_compression(archive.get(), place, ZIP_CM_DEFLATE, 6) != 0 ||
        zip_file_set_dostime(archive.get(), place, stamp.time, stamp.date, 0) != 0 ||
        zip_file_set_external_attributes(archive.get(), place, 0, ZIP_OPSYS_UNIX, plain_file) != 0)
      return failure(path, zip_strerror(archive.get()));
  }
  if (zip_close(archive.get()) == 0) {
    static_cast<void>(archive.release());  // closing has freed it
    return {};
  }
  for (const auto& source : sources) {
    if (source->failed()) return *source->failed();
  }
  return failure(path, zip_strerror(archive.get()));
}

}  // namespace trayproof::evidence
