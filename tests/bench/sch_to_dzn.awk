# sch_to_dzn.awk - turns an instance in the .sch format into data for
# timelag.mzn.  usage: awk -f sch_to_dzn.awk FILE.sch > FILE.dzn
{
  for (i = 1; i <= NF; i++) word[++words] = $i
}
function next_word() { return word[++at] }
function list(name, values, count,    i, text) {
  text = name " = ["
  for (i = 1; i <= count; i++) text = text (i > 1 ? ", " : "") values[i]
  print text "];"
}
END {
  n = next_word() + 2
  resources = next_word()
  at += 2
  for (i = 1; i <= n; i++) {
    at += 2
    count = next_word()
    for (k = 1; k <= count; k++) {
      from[lags + k] = i
      to[lags + k] = next_word() + 1
    }
    for (k = 1; k <= count; k++) {
      text = next_word()
      gsub(/[][]/, "", text)
      lag[lags + k] = text + 0
      if (lag[lags + k] > longest[i]) longest[i] = lag[lags + k]
    }
    lags += count
  }
  for (i = 1; i <= n; i++) {
    at += 2
    duration[i] = next_word()
    horizon += duration[i] > longest[i] ? duration[i] : longest[i]
    for (r = 1; r <= resources; r++) demand[(i - 1) * resources + r] = next_word()
  }
  for (r = 1; r <= resources; r++) capacity[r] = next_word()
  print "n = " n ";\nresources = " resources ";\nhorizon = " horizon ";\nlags = " lags ";"
  list("duration", duration, n)
  list("capacity", capacity, resources)
  list("from", from, lags)
  list("to", to, lags)
  list("lag", lag, lags)
  text = "demand = array2d(1.." n ", 1.." resources ", ["
  for (i = 1; i <= n * resources; i++) text = text (i > 1 ? ", " : "") demand[i]
  print text "]);"
}
