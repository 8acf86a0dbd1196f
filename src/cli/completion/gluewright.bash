# bash completion for gluewright                           -*- shell-script -*-

_gluewright() {
  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]}
  local options='--output --paper --size --from-list --units --table --tree --ways --start
    --rehearse --times --draft --as-measured --relaxng --labels
    --first-label --json --quiet --color --help --version'
  local i command=
  COMPREPLY=()
  # "--paper=a4" comes as three words.
  if [[ $cur == '=' ]]; then cur=
  elif [[ $prev == '=' ]]; then prev=${COMP_WORDS[COMP_CWORD-2]}
  fi
  for ((i = 1; i < COMP_CWORD; i++)); do
    case ${COMP_WORDS[i]} in
      check | order | follow | print | list | new | explain | schema) command=${COMP_WORDS[i]}; break ;;
    esac
  done
  case $prev in
    --paper | -p) COMPREPLY=($(compgen -W 'a4 letter' -- "$cur")); return ;;
    --units | -u) COMPREPLY=($(compgen -W 'mm in' -- "$cur")); return ;;
    --table | -b) COMPREPLY=($(compgen -W 'parts joints order' -- "$cur")); return ;;
    --color | -c) COMPREPLY=($(compgen -W 'auto always never' -- "$cur")); return ;;
    --size | -s | --start | -S | --labels | -L | --first-label | -F) return ;;
    --output | -o | --from-list | -l | --as-measured) COMPREPLY=($(compgen -f -- "$cur")); return ;;
  esac
  if [[ $cur == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$cur"))
    return
  fi
  case $command in
    '') COMPREPLY=($(compgen -W 'check order follow print list new explain schema' -- "$cur")) ;;
    new) COMPREPLY=($(compgen -W 'box door table stool bookcase' -- "$cur")) ;;
    explain)
      COMPREPLY=($(compgen -W "$("${COMP_WORDS[0]}" explain 2>/dev/null | cut -d' ' -f1)" -- "$cur")) ;;
    schema) ;;
    *) COMPREPLY=($(compgen -f -X '!*.xml' -- "$cur") $(compgen -d -- "$cur")) ;;
  esac
}
complete -o filenames -F _gluewright gluewright
