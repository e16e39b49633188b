-- One event a request, each with a slip of its own; the token comes in TOKEN.
local threads = 0
function setup(thread)
  thread:set("number_of_thread", threads)
  threads = threads + 1
end
local count = 0
local token = os.getenv("TOKEN")
local run = os.getenv("RUN")
function request()
  count = count + 1
  local slip = run .. "-" .. number_of_thread .. "-" .. count
  local body = '{"kind":"packed","at":"2026-11-02T08:00:00+05:00","by":"ana","pack":"' .. slip ..
               '","set":"DS-1","wrap":"wrapped","slip":"' .. slip .. '"}'
  return wrk.format("POST", "/api/v1/events",
                    { ["Authorization"] = "Bearer " .. token, ["Content-Type"] = "application/json" }, body)
end
local wrong = 0
function response(status)
  if status ~= 200 then wrong = wrong + 1 end
end
