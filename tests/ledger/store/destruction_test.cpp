// What is destroyed is not in the file's bytes any more, wherever pages were split or joined before; and a copy made
// while others write is whole.
#include <atomic>
#include <chrono>
#include <functional>
#include <thread>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/crypto/random.h"
#include "ledger/store/copy.h"
#include "ledger/store/ledger_file.h"
#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;
using store::LedgerFile;

namespace {

LedgerFile created(const std::string& path) {
  auto file = LedgerFile::create(path);
  REQUIRE(file.ok());
  return std::move(file).value();
}

std::string bytes_of(const std::string& path) {
  const auto bytes = read_file(path, limits::record_file_bytes);
  REQUIRE(bytes.ok());
  return std::string(as_text(bytes.value()));
}

void in_one_step(LedgerFile& file, const std::function<Result<void>()>& work) {
  auto transaction = file.begin();
  REQUIRE(transaction.ok());
  const auto done = work();
  INFO((done.ok() ? std::string() : done.error().sentence()));
  REQUIRE(done.ok());
  REQUIRE(transaction.value().commit().ok());
}

store::KeptText text_of(int i) {
  // The same at every run, so that pages are split alike.
  const Digest salt = crypto::sha256(as_bytes("salt " + std::to_string(i)));
  store::KeptText text{.stand_in = {},
                       .salt = {},
                       .text = "text-" + std::to_string(i) + "-" + std::string(std::size_t(i % 90), 'x') + "-end"};
  std::copy_n(salt.begin(), text.salt.size(), text.salt.begin());
  text.stand_in = crypto::sha256({ByteView(text.salt), as_bytes(text.text)});
  return text;
}

store::KeptPatient patient_of(int i) {
  const std::string number = "number-" + std::to_string(i);
  const auto random = crypto::random_bytes<72>();
  store::KeptPatient patient{.pseudonym = crypto::random_bytes<16>(),
                             .lookup = crypto::random_bytes<16>(),
                             .sealed_key = Bytes(random.begin(), random.end()),
                             .sealed_number = {}};
  const auto more = crypto::random_bytes<64>();
  patient.sealed_number.assign(more.begin(), more.begin() + 50 + i % 14);
  return patient;
}

// Rows come by portions, as an append brings them, so that pages are split again and again.
template <typename Row>
std::vector<Row> filled(LedgerFile& file, int count, Row (*make)(int), Result<void> (LedgerFile::*put)(const Row&),
                        int portion = 100) {
  std::vector<Row> rows;
  for (int i = 0; i < count; ++i) rows.push_back(make(i));
  for (int from = 0; from < count; from += portion) {
    in_one_step(file, [&]() -> Result<void> {
      for (int i = from; i < std::min(from + portion, count); ++i) TRY((file.*put)(rows[std::size_t(i)]));
      return {};
    });
  }
  return rows;
}

}  // namespace

TEST_CASE("destroyed texts and their salts are nowhere in the file") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  const auto texts = filled(file, 3000, text_of, &LedgerFile::put_text);
  CHECK(bytes_of(folder.file("a")).find(texts[7].text) != std::string::npos);  // the test looks where it should
  for (std::size_t i = 0; i < texts.size(); i += 411) {
    in_one_step(file, [&]() -> Result<void> {
      TRY_LET(const bool there, file.destroy_text(texts[i].stand_in));
      CHECK(there);
      return {};
    });
  }
  const std::string bytes = bytes_of(folder.file("a"));
  for (std::size_t i = 0; i < texts.size(); ++i) {
    INFO(i);
    const bool destroyed = i % 411 == 0;
    CHECK((bytes.find(texts[i].text) == std::string::npos) == destroyed);
    if (destroyed) CHECK(bytes.find(as_text(texts[i].salt)) == std::string::npos);
    CHECK(file.text(texts[i].stand_in).value().has_value() == !destroyed);
  }
  CHECK(!file_exists(folder.file("a-journal")));
}

TEST_CASE("a destroyed patient leaves neither sealed number nor sealed key nor index entry") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  const auto patients = filled(file, 2000, patient_of, &LedgerFile::put_patient);
  for (std::size_t i = 0; i < patients.size(); i += 397) {
    in_one_step(file, [&]() -> Result<void> {
      TRY_LET(const bool there, file.destroy_patient(patients[i].pseudonym));
      CHECK(there);
      TRY_LET(const bool again, file.destroy_patient(patients[i].pseudonym));
      CHECK(!again);
      return {};
    });
  }
  const std::string bytes = bytes_of(folder.file("a"));
  for (std::size_t i = 0; i < patients.size(); ++i) {
    INFO(i);
    const bool destroyed = i % 397 == 0;
    CHECK((bytes.find(as_text(patients[i].sealed_number)) == std::string::npos) == destroyed);
    CHECK((bytes.find(as_text(patients[i].sealed_key)) == std::string::npos) == destroyed);
    CHECK((bytes.find(as_text(patients[i].lookup)) == std::string::npos) == destroyed);
    CHECK(file.patient_by_lookup(patients[i].lookup).value().has_value() == !destroyed);
  }
}

TEST_CASE("destroyed attachments leave nothing of their beginning in the file though neighbours go one after another") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  std::vector<std::pair<Digest, Bytes>> kept;
  for (int i = 0; i < 50; ++i) {
    Bytes bytes(std::size_t(200 + i * 97 % 5000));
    crypto::fill_random(bytes);  // does not deflate: the bytes stand in the file as they are
    kept.emplace_back(crypto::sha256(bytes), bytes);
    REQUIRE(file.put_attachment(kept.back().first, bytes).ok());
  }
  const auto stands = [](const std::string& bytes, const Bytes& one) {
    for (std::size_t at = 0; at + 16 <= one.size(); at += 16) {
      if (bytes.find(as_text(ByteView(one).subspan(at, 16))) != std::string::npos) return true;
    }
    return false;
  };
  CHECK(stands(bytes_of(folder.file("a")), kept[40].second));
  for (std::size_t i = 0; i < kept.size(); ++i) {
    if (i % 5 == 4) continue;
    in_one_step(file, [&]() -> Result<void> {
      TRY_LET(const bool there, file.destroy_attachment(kept[i].first));
      CHECK(there);
      return {};
    });
  }
  const std::string bytes = bytes_of(folder.file("a"));
  for (std::size_t i = 0; i < kept.size(); ++i) {
    INFO(i);
    CHECK(stands(bytes, kept[i].second) == (i % 5 == 4));
    CHECK(file.attachment(kept[i].first).ok() == (i % 5 == 4));
  }
}

TEST_CASE("a copy holds what stood in the file and never replaces anything") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  const auto texts = filled(file, 500, text_of, &LedgerFile::put_text);
  REQUIRE(store::copy_online(file.database(), folder.file("b")).ok());
  auto copy = LedgerFile::open(folder.file("b"), store::Access::read);
  REQUIRE(copy.ok());
  for (const auto& text : texts) CHECK(copy.value().text(text.stand_in).value()->text == text.text);
  const auto again = store::copy_online(file.database(), folder.file("b"));
  REQUIRE(!again.ok());
  CHECK(again.error().code() == ErrorCode::conflict);
  CHECK(!store::copy_online(file.database(), folder.file("no/such/folder")).ok());
  CHECK_EQ(folder.files(), 2U);
}

TEST_CASE("a copy made while another connection goes on writing is a whole state of the file") {
  const tests::Folder folder;
  {
    LedgerFile file = created(folder.file("a"));
    const auto texts = filled(file, 20'000, text_of, &LedgerFile::put_text);
    CHECK_EQ(texts.size(), 20'000U);
  }
  std::atomic<bool> done = false;
  std::atomic<int> written = 0;
  std::thread writer([&] {
    auto file = LedgerFile::open(folder.file("a"), store::Access::write);
    REQUIRE(file.ok());
    for (int i = 0; !done; ++i) {
      auto transaction = file.value().begin();
      if (!transaction.ok()) continue;
      // Two rows that belong together: a copy that has one of them only is torn.
      const auto one = text_of(100'000 + 2 * i);
      const auto two = text_of(100'001 + 2 * i);
      if (file.value().put_text(one).ok() && file.value().put_text(two).ok() && transaction.value().commit().ok())
        ++written;
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
  });
  auto source = LedgerFile::open(folder.file("a"), store::Access::read);
  REQUIRE(source.ok());
  while (written < 3) std::this_thread::yield();
  for (int i = 0; i < 3; ++i) {
    const int before = written;
    const std::string to = folder.file("copy-" + std::to_string(i));
    const auto copied = store::copy_online(source.value().database(), to);
    INFO((copied.ok() ? std::string() : copied.error().sentence()));
    REQUIRE(copied.ok());
    auto copy = LedgerFile::open(to, store::Access::read);
    REQUIRE(copy.ok());
    auto count = copy.value().database().prepare("SELECT count(*) FROM texts");
    REQUIRE(count.value().step().ok());
    CHECK(count.value().integer(0) >= 20'000 + 2 * before);
    CHECK(count.value().integer(0) % 2 == 0);
    auto check = copy.value().database().prepare("PRAGMA integrity_check");
    REQUIRE(check.value().step().ok());
    CHECK(check.value().text(0) == "ok");
  }
  done = true;
  writer.join();
}
